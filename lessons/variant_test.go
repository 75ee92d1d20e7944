package lessons

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"posework/grader"
	"posework/kin"
)

// varied is the small course with a rack that stands elsewhere for each learner.
func varied(vary string) map[string]string {
	files := sound()
	files["01-a/lesson.md"] = strings.Replace(files["01-a/lesson.md"], "  checks:\n", "  vary: "+vary+"\n  checks:\n", 1)
	return files
}

const rackRanges = "{rack.y: [-80, 40], rack.yaw: [-15, 15, 5], seed: learner}"

func loadVaried(t *testing.T, vary string) *Lesson {
	t.Helper()
	c, l := Load(asFS(varied(vary)), ".")
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	return c.Lessons[0]
}

func ownOf(l *Lesson) (own []string) {
	for _, o := range l.Own {
		own = append(own, o.String())
	}
	return own
}

// TestFor pins the own cells of two learners. Seeds and numbers were computed
// from the definition by another program: hashlib and the integers of Python
// 3.13.
func TestFor(t *testing.T) {
	lesson := loadVaried(t, rackRanges)
	for _, tt := range []struct {
		learner string
		seed    uint64
		want    []string
		y, yaw  float64
	}{
		{"Jo Fenwick", 10611973660065265267, []string{"rack.y = -25 mm", "rack.yaw = 10 deg"}, -25, 10},
		{"  jo  FENWICK ", 10611973660065265267, []string{"rack.y = -25 mm", "rack.yaw = 10 deg"}, -25, 10},
		{"Ann", 7431741023226442771, []string{"rack.y = -33 mm", "rack.yaw = 10 deg"}, -33, 10},
		{"", 0, nil, 0, 0},
		{" ", 0, nil, 0, 0},
	} {
		l := lesson.For(tt.learner)
		if got := ownOf(l); !slices.Equal(got, tt.want) || l.Seed != tt.seed {
			t.Errorf("For(%q) gives %q from seed %d, want %q from %d", tt.learner, got, l.Seed, tt.want, tt.seed)
			continue
		}
		frame, _ := l.Cell.Frame("rack")
		yaw := kin.Deg(math.Atan2(frame.R.X.Y, frame.R.X.X))
		if frame.T != (kin.Vec{X: 500, Y: tt.y, Z: 200}) || !(math.Abs(yaw-tt.yaw) <= 1e-9) {
			t.Errorf("For(%q): the rack stands at %v, turned by %g deg; want y %g, %g deg", tt.learner, frame.T, yaw, tt.y, tt.yaw)
		}
		// From a variant one comes to any other, and back.
		if again := l.For("Ann").Variant(tt.seed); !slices.Equal(again.Own, l.Own) || again.Cell.Frames[0] != l.Cell.Frames[0] {
			t.Errorf("For(%q) differs when it is made a second time", tt.learner)
		}
	}
	// What was tried out in one of the cells proves nothing in another.
	ann, jo := lesson.For("Ann").Cell.ID, lesson.For("Jo Fenwick").Cell.ID
	if ann == jo || ann == lesson.Cell.ID || lesson.Cell.ID == "" || ann != lesson.For("ann").Cell.ID {
		t.Errorf("the cells are called %q, %q and %q", lesson.Cell.ID, ann, jo)
	}
	if lesson.For("") != lesson || lesson.For("Jo").For("") != lesson {
		t.Error("the lesson as written is not the one that was loaded")
	}
}

// TestForMovesTheChecks grades one program in two cells: the checks look at the
// place where the rack stands for the learner.
func TestForMovesTheChecks(t *testing.T) {
	lesson := loadVaried(t, rackRanges)
	inBase := strings.Replace(answerText, "[0, 0, 100], rpy: [180, 0, 0], frame: rack", "[500, 0, 300], rpy: [180, 0, 0]", 1)
	for _, tt := range []struct {
		name, text, learner string
		passed              bool
	}{
		{"in the frame, as written", answerText, "", true},
		{"in the frame, own cell", answerText, "Jo Fenwick", true},
		{"in base, as written", inBase, "", true},
		{"in base, own cell", inBase, "Jo Fenwick", false},
	} {
		l := lesson.For(tt.learner)
		m, wrong := grader.Grade(l.Cell, l.Task, "a.yaml", []byte(tt.text), grader.Options{})
		if len(wrong) > 0 {
			t.Fatal(wrong)
		}
		if m.Passed != tt.passed {
			t.Errorf("%s: passed %v, want %v (%s)", tt.name, m.Passed, tt.passed, words(findingCodes(m)))
		}
	}
}

// TestForKeepsTheFiles changes the files of a course after loading: who comes
// later gets a cell of the course as it was loaded.
func TestForKeepsTheFiles(t *testing.T) {
	dir := t.TempDir()
	files := varied(rackRanges)
	files["cells/bench.yaml"] = benchArm
	files["cells/cell.yaml"] = strings.Replace(cellText, "arm: hazel", "arm: bench.yaml", 1)
	for name, text := range files {
		file := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	c, l := Load(os.DirFS(dir), ".")
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	// Several people come at a time.
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			if got := ownOf(c.Lessons[0].For("Jo Fenwick")); len(got) != 2 {
				t.Errorf("the lesson for a learner holds %q", got)
			}
		})
	}
	all.Wait()
}

// benchArm is an arm in a file, of about the size of hazel.
const benchArm = `posework: arm/1
name: bench
axes:
  - {a: 40, alpha: -90, d: 420, limits: [-170, 170], speed: 200 deg/s, acceleration: 900 deg/s2}
  - {a: 450, alpha: 0, d: 0, offset: -90, limits: [-95, 130], speed: 190 deg/s, acceleration: 800 deg/s2}
  - {a: 30, alpha: -90, d: 0, limits: [-190, 75], speed: 210 deg/s, acceleration: 1000 deg/s2}
  - {a: 0, alpha: 90, d: 440, limits: [-185, 185], speed: 320 deg/s, acceleration: 2000 deg/s2}
  - {a: 0, alpha: -90, d: 0, limits: [-120, 120], speed: 320 deg/s, acceleration: 2000 deg/s2}
  - {a: 0, alpha: 0, d: 105, limits: [-350, 350], speed: 430 deg/s, acceleration: 3200 deg/s2}
`

// TestVariantThatCannotBe gives some learners numbers with which the arm can't
// stand at the start: they get the lesson as written, the others their own.
func TestVariantThatCannotBe(t *testing.T) {
	files := varied("{rack.x: [300, 850, 550], rack.z: [-250, 420, 670]}")
	files["01-a/lesson.md"] = strings.Replace(files["01-a/lesson.md"], "  checks:\n", "  start: {xyz: [0, 0, 0], rpy: [180, 0, 0], frame: rack, tool: cup}\n  checks:\n", 1)
	c, l := Load(asFS(files), ".")
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	lesson := c.Lessons[0]
	own, written := 0, 0
	for seed := range uint64(40) {
		v := lesson.Variant(seed + 1)
		wrong := func() bool { _, l := lesson.with(lesson.drawn(seed + 1)); return len(l) > 0 }()
		switch {
		case wrong && v == lesson:
			written++
		case !wrong && v.Seed == seed+1 && len(v.Own) == 2 && v.Task.Start != nil && *v.Task.Start != *lesson.Task.Start:
			own++
		default:
			t.Errorf("seed %d gives %q, start %v", seed+1, ownOf(v), v.Task.Start)
		}
	}
	if own == 0 || written == 0 {
		t.Errorf("%d learners have a cell of their own and %d the one as written; want some of both", own, written)
	}
}

// TestDrawn keeps what is drawn in its range and on its steps, with both ends.
func TestDrawn(t *testing.T) {
	lesson := loadVaried(t, "{rack.y: [-3, 4], rack.yaw: [-15, 15, 5]}")
	seen := map[Own]bool{}
	for seed := range uint64(200) {
		for i, o := range lesson.drawn(seed) {
			v := &lesson.Task.Vary[i]
			if steps := (o.Value - v.Min) / v.Step; o.Value < v.Min || o.Value > v.Max || steps != math.Trunc(steps) {
				t.Errorf("seed %d gives %s", seed, o)
			}
			seen[o] = true
		}
	}
	if len(seen) != 8+7 {
		t.Errorf("of 8 and 7 values %d were drawn", len(seen))
	}
}

// TestDraw holds draws to be even, each key by itself: chi-squared over 10
// values and 10,000 seeds, 9 degrees of freedom, is below 27.88 in all but one of
// 1000 cases (table of critical values, NIST/SEMATECH e-Handbook, 1.3.6.7.4).
func TestDraw(t *testing.T) {
	const n, seeds = 10, 10_000
	for _, key := range []string{"rack.y", "stand.yaw"} {
		var count [n]float64
		same := 0
		for seed := range uint64(seeds) {
			k := draw(seed, key, n)
			count[k]++
			if k == draw(seed, "crate.x", n) {
				same++
			}
		}
		chi := 0.0
		for _, c := range count {
			chi += (c - seeds/n) * (c - seeds/n) / (seeds / n)
		}
		if chi > 27.88 {
			t.Errorf("%s: chi-squared of the draws is %.1f: %v", key, chi, count)
		}
		if same < seeds/n*8/10 || same > seeds/n*12/10 {
			t.Errorf("%s: %d of %d draws agree with those of another key, about %d are likely", key, same, seeds, seeds/n)
		}
	}
}

// TestRanges reports ranges that are no ranges, and those of nothing.
func TestRanges(t *testing.T) {
	for _, tt := range []struct{ vary, want string }{
		{"{rack.y: [-80, 40]}", ""},
		{"{rack.y: [0, 0.3, 0.1], seed: learner}", ""},
		{"{rack.y: [40, -80]}", "T004 the range of rack.y runs from 40 down to -80"},
		{"{rack.y: [0, 10, 0]}", "T004 the step of rack.y is 0"},
		{"{rack.y: [0, 10, 20]}", "T004 the range of rack.y holds only one value in steps of 20"},
		{"{rack.y: [0, 5, 0.0001]}", "T004 the range of rack.y holds more than 10000 values, the most that are read"},
		{"{rack.y: 5}", "F014 rack.y is \"5\", but a list is needed"},
		{"{rack.y: [5]}", "F019 rack.y has 1 value, but 2 are needed"},
		{"{rack.y: [0, 10], seed: clock}", "F017 "},
		{"{rakc.y: [0, 10]}", "C010 the cell has no frame, solid, part or zone named \"rakc\""},
		{"{rack.w: [0, 10]}", "C010 \"w\" is no coordinate of rack"},
		{"{rack: [0, 10]}", "C010 \"\" is no coordinate of rack"},
		{"{rack.y: [0, 999999, 1000]}", "C006 rack.y is 999000, but a cell reaches to at most "},
	} {
		_, l := Load(asFS(varied(tt.vary)), ".")
		got := ""
		for _, d := range l {
			got += d.Code + " " + d.Text + "\n"
		}
		if tt.want == "" && got != "" || tt.want != "" && (!strings.HasPrefix(got, tt.want) || len(l) != 1) {
			t.Errorf("vary: %s reports %q, want %q", tt.vary, got, tt.want)
		}
	}
}

// TestValues walks through ranges: the numbers are round, and both ends are
// among them.
func TestValues(t *testing.T) {
	for _, tt := range []struct {
		vary string
		want []float64
	}{
		{"{rack.y: [-1, 2]}", []float64{-1, 0, 1, 2}},
		{"{rack.y: [0, 0.3, 0.1]}", []float64{0, 0.1, 0.2, 0.3}},
		{"{rack.yaw: [-15, 16, 10]}", []float64{-15, -5, 5, 15}},
	} {
		v := &loadVaried(t, tt.vary).Task.Vary[0]
		var got []float64
		for k := range v.Values() {
			got = append(got, v.Value(k))
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s holds %v, want %v", tt.vary, got, tt.want)
		}
	}
}

// BenchmarkFor makes all lessons a learner's own.
func BenchmarkFor(b *testing.B) {
	c := embeddedCourse(b)
	b.ReportAllocs()
	for b.Loop() {
		for _, lesson := range c.Lessons {
			lesson.For("Jo Fenwick")
		}
	}
}
