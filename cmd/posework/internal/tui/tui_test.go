package tui

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
	"posework/grader/quiz"
	"posework/kin"
	"posework/lessons"
)

var update = flag.Bool("update", false, "rewrite the golden screens")

// testdata is absolute: some tests work in a folder of their own.
var testdata, _ = filepath.Abs("testdata")

// sizes are the sizes that golden screens are kept at.
var sizes = []struct{ width, height int }{{80, 24}, {120, 40}, {40, 10}}

// driver runs an App without a terminal: it obeys commands at once.
type driver struct {
	t   testing.TB
	app *App
}

func start(t testing.TB, s *seat.Seat) *driver {
	t.Helper()
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.Ascii)
	d := &driver{t, New(t.Context(), s, NewTheme(r, true), "")}
	d.run(d.app.Init())
	d.size(80, 24)
	return d
}

func (d *driver) size(width, height int) { d.send(tea.WindowSizeMsg{Width: width, Height: height}) }

func (d *driver) send(msg tea.Msg) {
	_, cmd := d.app.Update(msg)
	d.run(cmd)
}

// run obeys a command and what follows from it. Ticks of time are left out.
func (d *driver) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			d.run(c)
		}
	case tea.QuitMsg:
		d.t.Log("left")
	default:
		// tea.Sequence has a type of its own that is not exported.
		if cmds, ok := sequence(msg); ok {
			for _, c := range cmds {
				d.run(c)
			}
			return
		}
		if strings.Contains(fmt.Sprintf("%T", msg), "TickMsg") {
			return
		}
		d.send(msg)
	}
}

// keys presses keys: names such as "enter" and "down", else the characters.
func (d *driver) keys(names ...string) {
	special := map[string]tea.KeyMsg{
		"enter": {Type: tea.KeyEnter}, "esc": {Type: tea.KeyEsc}, "up": {Type: tea.KeyUp}, "down": {Type: tea.KeyDown},
		"tab": {Type: tea.KeyTab}, "pgdown": {Type: tea.KeyPgDown}, "pgup": {Type: tea.KeyPgUp}, "home": {Type: tea.KeyHome},
		"end": {Type: tea.KeyEnd}, "backspace": {Type: tea.KeyBackspace}, "space": {Type: tea.KeySpace, Runes: []rune{' '}},
		"ctrl+c": {Type: tea.KeyCtrlC}, "ctrl+u": {Type: tea.KeyCtrlU}, "left": {Type: tea.KeyLeft}, "right": {Type: tea.KeyRight},
		"shift+tab": {Type: tea.KeyShiftTab},
	}
	for _, name := range names {
		if k, ok := special[name]; ok {
			d.send(k)
			continue
		}
		for _, r := range name {
			d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
		}
	}
}

// screen is what is shown, without blanks at the ends of lines.
func (d *driver) screen() string {
	lines := strings.Split(d.app.View(), "\n")
	for i, line := range lines {
		lines[i] = strings.TrimRight(line, " ")
	}
	return strings.Join(lines, "\n") + "\n"
}

// golden compares what is shown at every size with testdata.
func (d *driver) golden(name string) {
	d.t.Helper()
	for _, size := range sizes {
		d.size(size.width, size.height)
		got := d.screen()
		checkSize(d.t, d.app.View(), size.width, size.height)
		path := filepath.Join(testdata, fmt.Sprintf("%s-%dx%d.txt", name, size.width, size.height))
		if size.width == 40 {
			path = filepath.Join(testdata, "too-small-40x10.txt") // the same for all screens
		}
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				d.t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			d.t.Fatal(err)
		}
		if got != string(want) {
			d.t.Errorf("%s differs:\n%s\nwant:\n%s", path, got, want)
		}
	}
	d.size(80, 24)
}

// checkSize reports a view that does not fit its window.
func checkSize(t testing.TB, view string, width, height int) {
	t.Helper()
	lines := strings.Split(view, "\n")
	if len(lines) > height {
		t.Errorf("%d lines in a window of %d", len(lines), height)
	}
	for _, line := range lines {
		if w := ansi.StringWidth(line); w > width {
			t.Errorf("line of %d in a window of %d: %q", w, width, line)
		}
	}
}

func (d *driver) shows(texts ...string) {
	d.t.Helper()
	got := d.screen()
	flat := strings.Join(strings.Fields(got), " ")
	for _, text := range texts {
		if !strings.Contains(flat, strings.Join(strings.Fields(text), " ")) {
			d.t.Errorf("the screen does not show %q:\n%s", text, got)
		}
	}
}

func (d *driver) hides(text string) {
	d.t.Helper()
	if got := d.screen(); strings.Contains(got, text) {
		d.t.Errorf("the screen shows %q:\n%s", text, got)
	}
}

const testQuiz = `
- id: reset
  kind: one
  ask: Where is the best place for the reset button?
  right: Outside, with a full view, not reachable from inside
  wrong: [In the office, On the gripper, "Inside, near the arm"]
  because: Nobody may be reset in.
  source: ISO 10218-2:2011, 5.6.3
  skill: place the reset
- id: stop-categories
  kind: many
  ask: Which stop categories may an emergency stop use?
  right: [category 0, category 1]
  wrong: [category 2, category 3]
  because: Power must be gone in the end.
  source: ISO 13850; IEC 60204-1
  skill: stop categories
- id: curtain
  kind: number
  ask: A {resolution} mm curtain, whole stopping time {time} s. What is the least distance by the 2010 edition?
  formula: curtain-distance
  with: {resolution: 30, time: 0.25}
  tolerance: 1
  unit: mm
  because: "2000 * {time} + 128 is above 500, so 1600 * {time} + 128 counts: {answer}."
  source: ISO 13855:2010, 6.2.3
  skill: compute a safeguard distance
- id: lockout
  kind: order
  ask: Put the steps of a lockout in order.
  right: [Prepare, Shut down, Isolate, Lock]
  because: Each step makes the next one safe.
  source: 29 CFR 1910.147(d)
  skill: lock out
- id: spaces
  kind: match
  ask: Match the space to its meaning.
  pairs:
    - [Maximum space, all that the moving parts can reach]
    - [Restricted space, reduced by limiting devices]
    - [Safeguarded space, inside the perimeter protection]
  because: The spaces of the arm nest; the fence encloses them.
  source: ISO 10218-2:2011, clause 3
  skill: tell spaces apart
`

const testBody = `## Slow where it counts

Out in the open the arm may hurry. *Near* the work it may **not**: a wrong height
costs a bar at 60 mm/s and a hand at 600 mm/s.

| stretch | speed |
|---|---|
| travel | at most 800 mm/s |
| last 50 mm | at most 100 mm/s |

1. Come to the approach pose.
2. Go straight in with ` + "`path: line`" + `.

` + "```yaml" + `
- {to: grip, path: line, speed: 60 mm/s, end: stop}
- {wait: {part-held: on, at-most: 1 s}}
` + "```" + `

> A pause passes whatever happens.
`

// testSeat is a small course without records.
func testSeat(t *testing.T) *seat.Seat {
	t.Helper()
	var l diag.List
	questions := quiz.Decode(source.Parse("quiz.yaml", []byte(testQuiz), 1, &l))
	if len(l) > 0 {
		t.Fatal(l)
	}
	lesson := func(id, title, module string, minutes int, needs ...string) *lessons.Lesson {
		return &lessons.Lesson{
			ID: id, Title: title, Module: module, Minutes: minutes, Needs: needs,
			Objectives: []string{"Say what " + strings.ToLower(title) + " is about.", "Keep the last stretch slow and along the tool axis, in automatic as well as in manual mode."},
			Cautions:   []string{"A simulation teaches habits; it proves no cell safe. Your employer's procedures and qualified people come first.", "Never steady the crate by hand."},
			Sources:    []string{"Common practice."},
			Body:       testBody,
		}
	}
	walk := lesson("walk", "Walk round the soap cell", "Before the arm moves", 35)
	walk.Quiz = questions
	stops := lesson("stops", "Stops, modes and the three-position switch", "Before the arm moves", 40, "walk")
	jog := lesson("jog", "Jogging by axis and by frame", "Moving by hand", 45, "stops")
	approach := lesson("approach", "Approach the curing crate and come away", "Writing the program", 45, "jog", "stops")
	approach.Task = &grader.Task{Goal: "Pick one bar from the chute pocket and lay it in the crate.", Mode: grader.Automatic, Pass: 80}
	approach.Quiz = questions
	approach.Hints = []string{"Where is the bar while you travel?", "Lift before you cross.", "Add a pose 80 mm above the crate."}
	all := []*lessons.Lesson{walk, stops, jog, approach}
	return &seat.Seat{
		Course: &lessons.Course{Lessons: all}, Version: "test", Person: "Jo Fenwick",
		Now: func() time.Time { return time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC) }, Seed: 4,
	}
}

func testMark() *grader.Mark {
	at := func(line int) diag.Pos { return diag.Pos{Filename: "too-fast.yaml", Line: line, Column: 5} }
	return &grader.Mark{
		Points: 80, Pass: 80, Duration: 21.4567,
		Checks: []grader.Result{
			{Check: "reach", Title: "every pose and path within reach", Holds: true, Proved: true, Must: true, Of: 0},
			{Check: "clearance", Title: "clearance at least 20 mm", Holds: true, Proved: true, Must: true, Points: 20, Of: 20, Measured: grader.Value{Lo: 24.31, Hi: 24.35, Unit: "mm"}},
			{Check: "approach", Title: "the last 50 mm to grip at most 100 mm/s", Proved: true, Must: true, Of: 15, Measured: grader.Value{Lo: 239.98, Hi: 240.01, Unit: "mm/s"}},
		},
		Findings: []grader.Finding{
			{
				Code: "FAST_APPROACH", Check: "approach", Severity: grader.Fail, Step: "2", Pos: at(8),
				From: 3.2, To: 3.456, Measured: grader.Value{Lo: 239.98, Hi: 240.01, Unit: "mm/s"}, Limit: grader.Value{Lo: 100, Hi: 100, Unit: "mm/s"},
				Place: kin.Vec{X: 420, Y: 230, Z: 140}, HasPlace: true, Subject: "pose grip",
				Text: "the last 50 mm to grip are driven at 240 mm/s, but the limit there is 100 mm/s",
				Why:  "Close to the part a wrong height becomes a collision before anyone can let go of the enabling device.",
				Try:  "write 80 mm/s for this step",
			},
			{Code: "NEAR_AXIS_LIMIT", Check: "axis-room", Severity: grader.Advice, Step: "1", Pos: at(7), From: 1, To: 1.5, Text: "axis 2 comes within 6 deg of its limit"},
		},
	}
}

const testProgram = `posework: program/1
tool: cups
poses:
  over: {axes: [0, -4, 29, 0, 65, 0]}
  grip: {xyz: [420, 0, 90], rpy: [180, 0, 0]}
steps:
- {to: over, path: joint, speed: 30 %, end: stop}
- {to: grip, path: line, speed: 240 mm/s, end: stop}
`

func testOutcome(s *seat.Seat) *seat.Outcome {
	return &seat.Outcome{Lesson: s.Course.Find("approach"), File: "work/too-fast.yaml", Text: []byte(testProgram), Mark: testMark()}
}

func TestCourseScreen(t *testing.T) {
	d := start(t, testSeat(t))
	d.keys("down")
	d.golden("course")
}

func TestCourseFind(t *testing.T) {
	d := start(t, testSeat(t))
	d.keys("crate appr")
	d.shows("Find: crate appr", "Approach the curing crate")
	d.hides("Walk round")
	d.keys("x")
	d.shows("No lesson or refresher has these words")
	d.keys("backspace", "enter")
	d.shows("Caution", "Approach the curing crate and come away")
	d.keys("esc", "esc")
	d.shows("Walk round")
	d.keys("esc")
	d.shows("ctrl+c leaves posework")
}

func TestKeysAreListed(t *testing.T) {
	d := start(t, testSeat(t))
	d.keys("?")
	d.golden("keys")
	d.keys("x") // closes the list and does nothing else
	d.shows("Walk round")
	d.hides("Find:")
}

// Whatever the width, the foot tells the way back and where all keys are told; and
// their list tells each of them whole.
func TestKeysFit(t *testing.T) {
	th := NewTheme(lipgloss.NewRenderer(io.Discard), true)
	tables := []keyTable{lessonKeys, findingsKeys, handInKeys, momentKeys, learnerKeys, deskLessonsKeys, watchKeys, formKeys}
	for in := range areas {
		tables = append(tables, practiceKeys(in))
	}
	for _, table := range tables {
		for _, width := range []int{leastWidth, 80, 120, 200} {
			foot := ansi.Strip(table.foot(th, width))
			if w := ansi.StringWidth(foot); w > width || !strings.Contains(foot, "esc ") || !strings.HasSuffix(foot, "? keys") {
				t.Errorf("the foot of %d is %d wide: %q", width, w, foot)
			}
			lines := table.list(th, width)
			for _, line := range lines {
				if w := ansi.StringWidth(line); w > width {
					t.Errorf("a line of the list of %d is %d wide: %q", width, w, line)
				}
			}
			flat := strings.Join(strings.Fields(ansi.Strip(strings.Join(lines, " "))), " ")
			for _, k := range table {
				if !strings.Contains(flat, k.long) {
					t.Errorf("the list of %d leaves out: %s", width, k.long)
				}
			}
		}
	}
}

func TestLessonScreen(t *testing.T) {
	d := start(t, testSeat(t))
	d.keys("down", "down", "down", "enter")
	d.golden("lesson")
}

func TestLessonScrollsAndShowsHints(t *testing.T) {
	d := start(t, testSeat(t))
	d.keys("down", "down", "down", "enter")
	d.shows("Caution")
	d.keys("space")
	d.hides("Caution")
	d.keys("home")
	d.shows("Caution")
	d.keys("t")
	d.shows("THE TASK", "Pick one bar from the chute pocket", "n hint")
	d.keys("n")
	d.shows("HINT 1 OF 3", "Where is the bar while you travel?")
	d.hides("Lift before you cross")
	d.keys("n", "n")
	d.shows("HINT 3 OF 3")
	d.hides("n hint") // there is none left
	d.keys("esc")
	d.shows("of 4 lessons passed")
}

// The task tells what is the learner's own in the cell.
func TestLessonTellsTheOwnCell(t *testing.T) {
	s := testSeat(t)
	s.Course.Lessons[3].Own = []lessons.Own{{Key: "chute.x", Value: 512, Unit: "mm"}, {Key: "crate.yaw", Value: -3, Unit: "deg"}}
	d := start(t, s)
	d.keys("down", "down", "down", "enter", "t")
	d.shows("THE TASK", "Your own cell: chute.x = 512 mm, crate.yaw = -3 deg.")
}

// A lesson without a task offers nothing to hand in.
func TestLessonWithoutTask(t *testing.T) {
	d := start(t, testSeat(t))
	d.keys("enter")
	d.hides("hand in")
	d.keys("h")
	d.hides("Your program file")
}

func TestFindingsScreen(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	d.keys("down", "down", "down", "enter", "h")
	d.send(openFindings{testOutcome(s)})
	d.golden("findings")
}

func TestFindingsScreenKeys(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	d.keys("down", "down", "down", "enter", "h")
	d.send(openFindings{testOutcome(s)})
	d.shows("NOT PASSED", "80 of 100 points, 80 needed", "1 check that must hold is missed", "measured  240 mm/s", "8 │ - {to: grip")
	d.keys("down")
	d.shows("axis 2 comes within 6 deg")
	d.keys("c")
	d.shows("holds", "20/20", "missed")
	d.keys("c", "enter")
	d.shows("FAST_APPROACH", "What it means")
	d.keys("esc", "esc")
	d.shows("Caution") // back at the lesson, not at the prompt for a file
}

// What is said of a program without findings is said whole, and the checks offer
// nothing to explain.
func TestFindingsOfAGoodProgram(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	o := testOutcome(s)
	o.Mark.Findings, o.Mark.Passed, o.Mark.Points = nil, true, 100
	o.Mark.Checks[2].Holds, o.Mark.Checks[2].Points = true, 15
	o.Mark.Checks[1].Title = strings.Repeat("clearance ", 10)
	d.keys("down", "down", "down", "enter")
	d.send(showFindings{o})
	d.shows("PASSED", "Nothing unsafe was found. In a real cell this still has to be proved step by step.")
	d.keys("c")
	d.shows("clearance clea...")
	d.hides("enter explain")
}

func TestFindingsOfWhatCouldNotBeGraded(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	o := testOutcome(s)
	o.Mark = nil
	for i := range 12 {
		o.Errors.Add(diag.Pos{Filename: "too-fast.yaml", Line: i + 1, Column: 3}, "F012", "did you mean \"speed\"?", "unknown key \"sped\" in step %d", i+1)
	}
	d.keys("down", "down", "down", "enter", "h")
	d.send(openFindings{o})
	d.golden("errors")
	d.shows("NOT GRADED", "12 things in the file have to be mended first", "try", "did you mean")
	d.keys("enter")
	d.shows("F012", "What it means")
}

// A passed program shows no finding, and says what a pass is worth.
func TestFindingsOfAPass(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	o := testOutcome(s)
	o.Mark = &grader.Mark{Points: 100, Pass: 80, Passed: true, Duration: 30}
	d.keys("down", "down", "down", "enter", "h")
	d.send(openFindings{o})
	d.shows("PASSED", "100 of 100", "still has to be proved")
	d.keys("down", "enter", "up", "space", "c", "enter") // nothing to choose, nothing breaks
}

// A stranger's file can't steer the terminal.
func TestExcerptShowsNoControlCharacters(t *testing.T) {
	s := testSeat(t)
	o := testOutcome(s)
	o.Text = []byte("a\n\x1b[2Jb\x07\u009b31m\nc\n")
	o.Mark.Findings[0].Pos.Line = 2
	d := start(t, s)
	d.keys("down", "down", "down", "enter", "h")
	d.send(openFindings{o})
	d.shows("?[2Jb??31m")
}

func TestQuizScreen(t *testing.T) {
	d := start(t, testSeat(t))
	d.keys("enter", "a")
	d.golden("quiz-one")
}

// The whole of a round: every kind answered, one wrongly; then what was missed.
func TestQuizRound(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	d.keys("enter", "a")
	screen := func() *quizScreen { return d.app.top().(*quizScreen) }
	right := func(options []string, wanted ...string) (letters []string) {
		for _, w := range wanted {
			for i, o := range options {
				if o == w {
					letters = append(letters, letter(i))
				}
			}
		}
		return letters
	}
	sheet := func() *quiz.Sheet { return screen().question.sheet }

	// One: a wrong option by its letter.
	d.keys(right(sheet().Options, "In the office")...)
	d.keys("enter")
	d.shows("Not right.", "You answered: In the office", "Right is: Outside", "Nobody may be reset in.", "Source: ISO 10218-2:2011, 5.6.3.")
	d.keys("enter")

	// Many: nothing marked is no answer; then by letter and by space.
	d.keys("enter")
	d.shows("mark what applies")
	d.keys(right(sheet().Options, "category 0", "category 1", "category 2")...)
	d.keys(right(sheet().Options, "category 2")...) // taken back
	d.golden("quiz-many")
	d.keys("enter")
	d.shows("Right.", "Power must be gone")
	d.keys("enter")

	// Number: what can't be read is asked again.
	d.keys("far", "enter")
	d.shows("not a number")
	d.keys("ctrl+u", "528 mm")
	d.golden("quiz-number")
	d.keys("enter")
	d.shows("Right.", "528 mm")
	d.keys("enter")

	// Order: incomplete is no answer.
	d.keys(right(sheet().Options, "Prepare", "Shut down")...)
	d.keys("enter")
	d.shows("put every item in its place first")
	d.keys(right(sheet().Options, "Lock")...)
	d.keys("backspace")
	d.keys(right(sheet().Options, "Isolate", "Lock")...)
	d.golden("quiz-order")
	d.keys("enter")
	d.shows("Right.", "1. Prepare 2. Shut down 3. Isolate 4. Lock")
	d.keys("enter")

	// Match: a partner changes over to another line.
	d.keys("a", "b", "enter")
	d.shows("give every line its letter first")
	d.keys("up", "up", "up")
	partner := map[string]string{}
	for _, p := range sheet().Question.Pairs {
		partner[p.Left] = p.Right
	}
	for _, left := range sheet().Options {
		d.keys(right(sheet().Partners, partner[left])...)
	}
	d.golden("quiz-match")
	d.keys("enter")
	d.shows("Right.", "Restricted space = reduced by limiting devices")
	d.keys("enter")

	d.golden("quiz-over")
	d.shows("4 of 5 right, 4 needed.", "Passed.", "place the reset")
	d.keys("m")
	d.shows("Question 1 of 1, what was missed")
	d.keys(right(sheet().Options, "Outside, with a full view, not reachable from inside")...)
	d.keys("enter", "enter")
	d.shows("1 of 1 right", "Passed.")
	d.hides("m asks")
	d.keys("enter")
	d.shows("Caution")
}

// Questions that are opened again are drawn again.
func TestQuizIsDrawnAnew(t *testing.T) {
	d := start(t, testSeat(t))
	orders := map[string]bool{}
	d.keys("enter")
	for range 8 {
		d.keys("a")
		orders[strings.Join(d.app.top().(*quizScreen).question.sheet.Options, "|")] = true
		d.keys("esc")
	}
	if len(orders) < 2 {
		t.Errorf("eight openings show the options in %d order", len(orders))
	}
}

// Who goes back to look at the text finds the questions where they were left; who
// has come to their end begins anew.
func TestQuizGoesOnWhereItWasLeft(t *testing.T) {
	d := start(t, testSeat(t))
	screen := func() *quizScreen { return d.app.top().(*quizScreen) }
	d.keys("enter", "a")
	solve(d, &screen().question)
	d.shows("Question 1 of 5", "Right.")
	d.keys("esc")
	d.shows("Caution")
	d.keys("a")
	d.shows("Question 1 of 5", "Right.")
	d.keys("enter", "space")
	d.shows("Question 2 of 5", "1 right", "[x]")
	sheet := screen().question.sheet
	d.keys("esc", "esc", "down", "down", "down", "enter", "a")
	d.shows("Question 1 of 5", "0 right") // of another lesson
	d.keys("esc", "esc", "up", "up", "up", "enter", "a")
	d.shows("Question 2 of 5", "1 right", "[x]")
	if screen().question.sheet != sheet {
		t.Error("the question was drawn anew")
	}
	d.keys("space")
	for screen().phase != over {
		solve(d, &screen().question)
		d.keys("enter")
	}
	d.keys("esc", "a")
	d.shows("Question 1 of 5", "0 right")
}

// What a spot question shows and takes; its program is marked by the grader.
func TestQuizSpot(t *testing.T) {
	s := testSeat(t)
	d := start(t, s)
	q := &quiz.Question{ID: "spot", Kind: quiz.Spot, Ask: "Which steps are unsafe?", Because: "why", Source: "common practice", Program: testProgram}
	spot := func(_ context.Context, name string, _ []byte) ([]grader.Finding, diag.List) {
		return []grader.Finding{{Pos: diag.Pos{Filename: name, Line: 8}, Text: "too fast", Severity: grader.Fail}}, nil
	}
	sheet, l := q.Draw(t.Context(), 1, spot)
	if len(l) > 0 {
		t.Fatal(l)
	}
	d.keys("enter", "a")
	screen := d.app.top().(*quizScreen)
	screen.round = &quiz.Round{Sheets: []*quiz.Sheet{sheet}}
	screen.show()
	d.keys("down", "space")
	d.golden("quiz-spot")
	d.keys("enter")
	d.shows("Right.", "step 2: too fast")
}

// Any size at any moment: no screen breaks or leaves its window.
func TestEverySizeFits(t *testing.T) {
	s := testSeat(t)
	visit := []func(d *driver){
		func(d *driver) {},
		func(d *driver) { d.keys("enter") },
		func(d *driver) { d.keys("esc", "down", "down", "down", "enter", "t") },
		func(d *driver) { d.keys("h") },
		func(d *driver) { d.send(openFindings{testOutcome(s)}) },
		func(d *driver) { d.keys("enter") },
		func(d *driver) { d.keys("esc", "a") },
		func(d *driver) { d.keys("?") },
	}
	d := start(t, s)
	for i, step := range visit {
		d.size(80, 24)
		step(d)
		for width := 1; width <= 200; width += 17 {
			for height := 1; height <= 60; height += 11 {
				d.size(width, height)
				checkSize(t, d.app.View(), width, height)
				if t.Failed() {
					t.Fatalf("step %d at %dx%d:\n%s", i, width, height, d.app.View())
				}
			}
		}
	}
}

func TestField(t *testing.T) {
	var f field
	press := func(msgs ...tea.KeyMsg) {
		for _, m := range msgs {
			f.Key(m)
		}
	}
	type k = tea.KeyMsg
	press(k{Type: tea.KeyRunes, Runes: []rune("work/pick two")})
	press(k{Type: tea.KeyCtrlW}, k{Type: tea.KeyBackspace})
	if f.Value() != "work/pick" {
		t.Errorf("after ctrl+w and backspace: %q", f.Value())
	}
	press(k{Type: tea.KeyHome}, k{Type: tea.KeyDelete}, k{Type: tea.KeyRunes, Runes: []rune("f")}, k{Type: tea.KeyRight}, k{Type: tea.KeyCtrlK})
	if f.Value() != "fo" {
		t.Errorf("after editing at the front: %q", f.Value())
	}
	press(k{Type: tea.KeyRunes, Runes: []rune("\x1b\n\x00é"), Paste: true}, k{Type: tea.KeyLeft}, k{Type: tea.KeyCtrlU})
	if f.Value() != "é" {
		t.Errorf("after pasting control characters: %q", f.Value())
	}
	if f.Key(k{Type: tea.KeyF5}) {
		t.Error("F5 is taken for text")
	}
}
