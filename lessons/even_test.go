package lessons

import (
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"

	"posework/grader"
)

// TestCheckVaried looks at a varied lesson with nothing wrong in it: its two good
// answers are graded at the four corners and in the cells of a few learners.
func TestCheckVaried(t *testing.T) {
	problems, spreads := Check(asFS(varied(rackRanges)), ".")
	for _, p := range problems {
		t.Errorf("%s %s", p.Code, p)
	}
	if len(spreads) != 2 {
		t.Fatalf("%d spreads, want those of two good answers", len(spreads))
	}
	for i, s := range spreads {
		if want := []string{"good-two.yaml", "good.yaml"}[i]; s.Answer != want || s.Lesson.ID != "a" || s.Cells != 4+sampled {
			t.Errorf("spread of %s, %s in %d cells, want %s in %d", s.Lesson.ID, s.Answer, s.Cells, want, 4+sampled)
		}
		if !(s.Time.Least < s.Time.Median && s.Time.Median < s.Time.Most) {
			t.Errorf("the time is %v in cells of different ways", s.Time)
		}
		if !math.IsNaN(s.Clearance.Median) || !math.IsNaN(s.Wrist.Median) {
			t.Errorf("clearance %v and wrist %v, but there is nothing near and no straight move", s.Clearance, s.Wrist)
		}
	}
	// The slower answer takes longer at every rank.
	if slow, quick := spreads[0].Time, spreads[1].Time; slow.Least <= quick.Least || slow.Median <= quick.Median || slow.Most <= quick.Most {
		t.Errorf("at 4 %% it takes %v, at 5 %% %v", slow, quick)
	}
}

// TestVaryReports makes a varied lesson wrong in one way at a time.
func TestVaryReports(t *testing.T) {
	const lesson = "01-a/lesson.md"
	seventh := strings.Join([]string{"rack.x: [495, 500]", "rack.y: [-5, 5]", "rack.z: [200, 205]", "rack.roll: [0, 1]", "rack.pitch: [0, 1]", "rack.yaw: [0, 1]", "shelf.x: [0, 5]"}, ", ")
	for _, tt := range []struct {
		name, vary string
		change     func(map[string]string)
		want       string // code, place and text of the only report, or its beginning
	}{
		{"good answer in base", "{rack.y: [-80, 40]}", func(f map[string]string) {
			f["01-a/answers/good.yaml"] = strings.Replace(answerText, "[0, 0, 100], rpy: [180, 0, 0], frame: rack", "[500, 0, 300], rpy: [180, 0, 0]", 1)
		}, "T141 01-a/answers/good.yaml:1:1 a good answer fails where rack.y = -80 mm: TARGET_MISSED, "},
		{"good answer out of reach", "{rack.x: [300, 900], rack.z: [-200, 200]}", nil, "T141 01-a/answers/good.yaml:"},
		{"flaw that is none elsewhere", "{rack.y: [-40, 40]}", func(f map[string]string) {
			f["01-a/answers/flawed-three.yaml"] = strings.Replace(answerText, "[0, 0, 100], rpy: [180, 0, 0], frame: rack", "[500, 40, 300], rpy: [180, 0, 0]", 1)
		}, "T142 01-a/answers/flawed-three.yaml:1:1 the flawed answer passes with 100 points where rack.y = 40 mm"},
		{"start out of reach between the ends", "{rack.x: [300, 850], rack.z: [-250, 420]}", func(f map[string]string) {
			f[lesson] = strings.Replace(f[lesson], "  checks:\n", "  start: {xyz: [0, 0, 0], rpy: [180, 0, 0], frame: rack, tool: cup}\n  checks:\n", 1)
		}, "T143 01-a/lesson.md:13:10 the cell can't be built where rack.x = 850 mm, rack.z = -250 mm: the arm can't stand at the start"},
		{"uneven", "{rack.y: [-80, 300]}", nil, "T144 01-a/answers/good-two.yaml:1:1 the time of this answer runs from "},
		{"seven", "{" + seventh + "}", func(f map[string]string) {
			f["cells/cell.yaml"] = strings.Replace(cellText, "frames: {", "frames: {shelf: {xyz: [0, 0, 0], rpy: [0, 0, 0]}, ", 1)
		}, "T140 01-a/lesson.md:13:10 7 numbers of the cell vary, but at most 6 may"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			files := varied(tt.vary)
			if tt.change != nil {
				tt.change(files)
			}
			problems, _ := Check(asFS(files), ".")
			found := false
			for _, p := range problems {
				found = found || strings.HasPrefix(fmt.Sprintf("%s %s %s", p.Code, p.Pos, p.Text), tt.want)
			}
			if !found {
				t.Errorf("Check does not report %q, but", tt.want)
				for _, p := range problems {
					t.Logf("%s %s %s", p.Code, p.Pos, p.Text)
				}
			}
		})
	}
}

// TestEven holds spreads against their bounds, which are inclusive.
func TestEven(t *testing.T) {
	same := Range{10, 10, 10}
	for _, tt := range []struct {
		name   string
		spread Spread
		want   string
	}{
		{"all the same", Spread{Time: same, Clearance: same, Wrist: same}, ""},
		{"at the bounds", Spread{Time: Range{10, 20, 13}, Clearance: Range{60, 70, 85}, Wrist: Range{20, 25, 30}}, ""},
		{"time", Spread{Time: Range{10, 20, 13.1}, Clearance: same, Wrist: same}, "the time of this answer runs from 10 to 13.1 s from learner to learner; 15 % of the median are allowed"},
		{"clearance", Spread{Time: same, Clearance: Range{60, 70, 85.5}, Wrist: same}, "the least clearance of this answer runs from 60 to 85.5 mm from learner to learner; 25 mm are allowed"},
		{"wrist", Spread{Time: same, Clearance: same, Wrist: Range{20, 25, 30.1}}, "the room of the wrist in this answer runs from 20 to 30.1 deg from learner to learner; 10 deg are allowed"},
		{"nothing to measure", Spread{Time: same, Clearance: rangeOf(nil), Wrist: rangeOf(nil)}, ""},
	} {
		c := &checker{}
		c.even(answer{}, tt.spread)
		got := ""
		for _, p := range c.list {
			got += p.Text
		}
		if got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// TestRangeOf orders values, and leaves out what could not be measured.
func TestRangeOf(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		values []float64
		want   Range
	}{
		{[]float64{3, 1, 2}, Range{1, 2, 3}},
		{[]float64{4, 1, 2, 3}, Range{1, 2.5, 4}},
		{[]float64{nan, 7, nan}, Range{7, 7, 7}},
	} {
		if got := rangeOf(tt.values); got != tt.want {
			t.Errorf("rangeOf(%v) = %v, want %v", tt.values, got, tt.want)
		}
	}
	if got := rangeOf([]float64{nan}); !math.IsNaN(got.Median) {
		t.Errorf("of nothing measured the median is %g", got.Median)
	}
}

// TestLearners sits a class down at the course: in the cell of each learner every
// good answer scores 100 and no flawed one passes. The corners of the ranges are
// the linter's, and [TestEmbedded]'s.
func TestLearners(t *testing.T) {
	class := 40
	if testing.Short() {
		class = 2
	}
	for _, lesson := range embeddedCourse(t).Lessons {
		if lesson.Task == nil || len(lesson.Task.Vary) == 0 {
			continue
		}
		t.Run(lesson.ID, func(t *testing.T) {
			t.Parallel()
			c := &checker{fsys: Embedded()}
			different := map[string]bool{}
			for i := range class {
				l := lesson.For(fmt.Sprintf("Learner %d", i))
				different[owns(l.Own)] = true
				for _, a := range c.answers(lesson) {
					if !a.good && i >= class/10+1 {
						continue
					}
					data, err := fs.ReadFile(Embedded(), a.path)
					if err != nil {
						t.Fatal(err)
					}
					m, wrong := grader.Grade(l.Cell, l.Task, a.name, data, grader.Options{Log: c.log(a)})
					switch {
					case !a.good:
						if len(wrong) == 0 && m.Passed {
							t.Errorf("%s passes where %s", a.name, owns(l.Own))
						}
					case len(wrong) > 0:
						t.Errorf("%s can't be graded where %s: %s", a.name, owns(l.Own), wrong[0])
					case !flawless(m):
						t.Errorf("%s scores %.4g where %s: %s", a.name, m.Points, owns(l.Own), words(findingCodes(m)))
					}
				}
			}
			if len(different) < class*3/4 {
				t.Errorf("%d learners have only %d different cells", class, len(different))
			}
		})
	}
}

// TestMostLessonsVary counts the lessons with a task that give each learner a
// cell of their own. Those that give none print recorded numbers of one cell.
func TestMostLessonsVary(t *testing.T) {
	tasks, vary := 0, 0
	for _, l := range embeddedCourse(t).Lessons {
		if l.Task != nil {
			tasks++
			if len(l.Task.Vary) > 0 {
				vary++
			}
		}
	}
	if vary < 11 || 2*vary < tasks {
		t.Errorf("%d of %d tasks vary", vary, tasks)
	}
}
