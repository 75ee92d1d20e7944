//go:build tmux

package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"posework/grader/quiz"
	"posework/lessons"
)

// driver works the bench in a terminal as a person does: it reads the screen,
// holds a key, looks again.
type driver struct {
	*terminal
}

var placeLine = regexp.MustCompile(`│ (?:▸| ) *(x|y|z|about x|about y|about z) +(-?\d+\.\d+) (?:mm|deg)`)

// place is the pose of the tool as the screen shows it.
func (d *driver) place() map[string]float64 {
	v := map[string]float64{}
	for _, m := range placeLine.FindAllStringSubmatch(d.tmux("capture-pane", "-p"), -1) {
		v[m[1]], _ = strconv.ParseFloat(m[2], 64)
	}
	return v
}

// until presses a key until what a pattern finds on the screen is a text, and
// lets the screen follow each press.
func (d *driver) until(key string, pattern *regexp.Regexp, want string) {
	d.t.Helper()
	read := func() string {
		if m := pattern.FindStringSubmatch(d.tmux("capture-pane", "-p")); m != nil {
			return m[1]
		}
		return ""
	}
	for range 60 {
		now := read()
		if now == want {
			return
		}
		d.press(key)
		for wait := 0; read() == now && wait < 100; wait++ {
			time.Sleep(20 * time.Millisecond)
		}
	}
	d.t.Fatalf("%s never leads to %q:\n%s", key, want, d.tmux("capture-pane", "-p"))
}

// What the screen says is chosen: the frame and the length of a jog, its row, and
// the value of a field.
var (
	frameChosen = regexp.MustCompile(`straight, in ([\w-]+),`)
	byChosen    = regexp.MustCompile(`, (held|by [\d.]+)`)
	rowChosen   = regexp.MustCompile(`│ ▸ (axis \d|about x|about y|about z|x|y|z) `)
	fieldChosen = regexp.MustCompile(`< (.+?) >`)
)

// still waits until the arm stands and a new press counts as one.
func (d *driver) still() {
	for range 400 {
		if !strings.Contains(d.tmux("capture-pane", "-p"), "MOVING") {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	time.Sleep(250 * time.Millisecond)
}

// hold holds a key as a terminal repeats it, until done says so.
func (d *driver) hold(key string, done func() bool) {
	d.t.Helper()
	d.press("Space")
	for start := time.Now(); time.Since(start) < time.Minute; {
		for range 5 {
			d.press(key)
			time.Sleep(25 * time.Millisecond)
		}
		if done() {
			d.still()
			return
		}
	}
	d.t.Fatalf("held %s for a minute:\n%s", key, d.tmux("capture-pane", "-p"))
}

// run holds a key until the arm has stopped by itself.
func (d *driver) run(key string) {
	d.t.Helper()
	d.hold(key, func() bool { return !strings.Contains(d.tmux("capture-pane", "-p"), "MOVING") })
}

// jog brings one coordinate of the tool in the chosen frame to a value: within
// 3 mm or 1 degree, closer than the lesson asks.
func (d *driver) jog(name string, target float64) {
	d.t.Helper()
	close := 3.0
	if strings.HasPrefix(name, "about") {
		close = 1
	}
	off := func() float64 {
		x := target - d.place()[name]
		if strings.HasPrefix(name, "about") {
			x = math.Remainder(x, 360)
		}
		return x
	}
	d.until("Down", rowChosen, name)
	key := func(x float64) string {
		if x < 0 {
			return "Left"
		}
		return "Right"
	}
	if x := off(); !(math.Abs(x) <= 60) {
		d.until("i", byChosen, "held")
		d.hold(key(x), func() bool { y := off(); return y*x < 0 || math.Abs(y) < 50 })
	}
	for range 40 {
		x := off()
		switch {
		case math.Abs(x) < close:
			if d.still(); math.Abs(off()) < close { // it was not just passing
				return
			}
			continue
		case math.Abs(x) >= 6:
			d.until("i", byChosen, "by 10")
		default:
			d.until("i", byChosen, "by 1")
		}
		d.press("Space", key(x))
		d.still()
	}
	d.t.Fatalf("%s does not come to %g:\n%s", name, target, d.tmux("capture-pane", "-p"))
}

// goTo brings the tool to a place in the chosen frame, tilted about y.
func (d *driver) goTo(x, y, z, tilt float64) {
	d.t.Helper()
	for range 2 { // a second look at each, where the first was hasty
		d.jog("about y", tilt)
		d.jog("x", x)
		d.jog("y", y)
		d.jog("z", z)
	}
}

// record records a pose where the arm stands.
func (d *driver) record(name string) {
	d.t.Helper()
	d.press("r")
	d.sees("Record")
	d.press("C-u")
	d.typed(name)
	d.press("Enter")
	d.sees("recorded "+name, "saved")
}

// A learner passes a lesson, from opening the course: jogs to three places and
// records them, writes the program at the bench, steps it through, hands it in,
// and answers the questions.
func TestLessonAtTheBenchInATerminal(t *testing.T) {
	d := &driver{terminal: open(t, 120, 40)}
	t.Cleanup(func() {
		if t.Failed() {
			text, _ := os.ReadFile(filepath.Join(filepath.Dir(d.socket), "jogging.yaml"))
			t.Logf("the program:\n%s", text)
		}
	})
	d.sees("Course", "Walk round the soap cell")
	d.typed("axis and frame")
	d.sees("Jogging by axis and by frame")
	d.press("Enter")
	d.sees("! Caution")
	d.press("p")
	d.sees("The program file", "jogging.yaml")
	d.press("Enter")
	d.sees("MANUAL", "device released", "[Move]")
	d.press("]", "]", "]", "]", "Right")
	d.sees("at most 250 mm/s", "hold the enabling device in its middle position first")

	d.press("Tab", "w")
	d.sees("r records by axes")
	d.record("home")
	d.press("w", "BTab", "j")
	d.sees("[Move]", "straight, in base")
	d.until("f", frameChosen, "stand")
	d.goTo(0, 0, 140, 0)
	d.record("one")
	d.until("f", frameChosen, "crate")
	d.goTo(0, 0, 160, 0)
	d.record("two")
	d.press("Tab")
	d.sees("[Poses]")
	d.press("Up", "Up", "Up")
	d.run("g")
	d.press("BTab")
	d.sees("[Move]")
	d.until("f", frameChosen, "blow")
	d.goTo(0, 0, 60, 15)
	d.record("three")

	d.press("Tab", "Tab")
	d.sees("[Steps]", "none yet")
	for i, pose := range []string{"home", "one", "home", "two", "home", "three", "home"} {
		d.press("a")
		d.sees("Add a step")
		d.press("Enter")
		d.sees(fmt.Sprintf("Edit step %d", i+1))
		d.until("Left", fieldChosen, "home") // the first of the poses
		d.until("Right", fieldChosen, pose)
		d.press("Down", "Down")
		d.sees(" % >")
		d.until("Left", fieldChosen, "5 %")
		d.press("Enter")
		d.sees(fmt.Sprintf("%d joint to %s, 5 %%, stop", i+1, pose), "saved")
	}
	d.press("e")
	d.sees("the program is at its first step")
	d.run("b")
	for i := range 7 {
		d.run(".")
		d.sees(fmt.Sprintf("%d of 7 proved", i+1))
	}
	d.press("h")
	d.sees("PASSED   100 of 100")
	d.answerQuestions("jogging")
	d.press("Enter")
	d.sees("PASSED   100 of 100")
	d.press("Escape")
	d.sees("[Steps]")
	d.press("Escape")
	d.sees("! Caution", "practise")
	d.press("Escape")
	d.sees("Find: axis and frame", "passed 100", "Program passed, best 100; 9 of 9 questions")
	d.press("Escape")
	d.sees("1 of 22 lessons passed")
	d.press("C-c")
	d.sees("left with 0")
}

var optionLine = regexp.MustCompile(`(?m)^ (?:▸|>| ) *(?:\[.\] )?(?:\d+\. )?([a-z])  +(\S.*?) *$`)

// answerQuestions answers the questions of a lesson rightly.
func (d *driver) answerQuestions(id string) {
	d.t.Helper()
	course, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		d.t.Fatal(l.Err())
	}
	questions := course.Find(id).Quiz
	d.press("a")
	for n := range questions {
		screen := d.sees(fmt.Sprintf("Question %d of %d", n+1, len(questions)))
		flat := strings.Join(strings.Fields(screen), " ")
		i := slices.IndexFunc(questions, func(q quiz.Question) bool { return strings.Contains(flat, strings.Join(strings.Fields(q.Ask), " ")) })
		if i < 0 {
			d.t.Fatalf("which question is this?\n%s", screen)
		}
		q := &questions[i]
		var letters, texts []string
		for _, m := range optionLine.FindAllStringSubmatch(screen, -1) {
			letters, texts = append(letters, m[1]), append(texts, m[2])
		}
		letter := func(text string) string {
			// The last: partners stand below the sides.
			for k := len(texts) - 1; k >= 0; k-- {
				if texts[k] == text {
					return letters[k]
				}
			}
			d.t.Fatalf("no option %q:\n%s", text, screen)
			return ""
		}
		switch q.Kind {
		case quiz.One, quiz.Many, quiz.Order:
			for _, right := range q.Right {
				d.press(letter(right))
			}
		case quiz.Number:
			d.typed(fmt.Sprint(q.Value))
		case quiz.Match:
			for line := range strings.Lines(screen) { // the sides stand in the order in which they are asked for
				for _, p := range q.Pairs {
					if strings.HasSuffix(strings.TrimRight(line, " \n"), "  "+p.Left) {
						d.press(letter(p.Right))
					}
				}
			}
		}
		d.press("Enter")
		d.sees("Right")
		d.press("Enter")
	}
	d.sees(fmt.Sprintf("%d of %d right", len(questions), len(questions)), "Passed.")
}
