package lessons

import (
	"context"
	"io/fs"
	"path"
	"slices"
	"strings"
	"testing"

	"posework/grader"
	"posework/grader/quiz"
)

// TestEmbedded runs the linter over the course that is built in: every good
// answer scores 100, every flawed one raises exactly the findings that its
// lesson expects and does not pass, and the texts keep their limits.
func TestEmbedded(t *testing.T) {
	for _, p := range problems(Embedded(), ".") {
		t.Errorf("%s (%s)", p, p.Code)
	}
}

func embeddedCourse(t testing.TB) *Course {
	t.Helper()
	c, l := Load(Embedded(), ".")
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

// TestEveryFlawedAnswerIsExpected guards the linter itself: it must have looked
// at each answer file of the course.
func TestEveryFlawedAnswerIsExpected(t *testing.T) {
	n := 0
	for _, lesson := range embeddedCourse(t).Lessons {
		if lesson.Task == nil {
			continue
		}
		c := &checker{fsys: Embedded()}
		for _, a := range c.answers(lesson) {
			if !a.good && len(a.want) == 0 {
				t.Errorf("%s expects nothing", a.path)
			}
			n++
		}
	}
	files, err := fs.Glob(Embedded(), "*/answers/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	files = slices.DeleteFunc(files, func(f string) bool { return path.Base(f) == expectFile || isLog(f) })
	if n != len(files) {
		t.Errorf("%d answers were looked at, but there are %d", n, len(files))
	}
}

// TestOptionsSpread draws every single choice with many seeds: the right option
// must be equally likely in each place.
func TestOptionsSpread(t *testing.T) {
	const seeds = 64
	var places [quiz.MostOptions]float64
	var want [quiz.MostOptions]float64
	for _, q := range allQuestions(t) {
		if q.Kind != quiz.One {
			continue
		}
		n := len(q.Right) + len(q.Wrong)
		for seed := range uint64(seeds) {
			s, l := q.Draw(context.Background(), seed, nil)
			if err := l.Err(); err != nil {
				t.Fatal(err)
			}
			places[slices.Index(s.Options, q.Right[0])]++
			for i := range n {
				want[i] += 1 / float64(n)
			}
		}
	}
	for i, w := range want {
		if w > 0 && (places[i] < 0.9*w || places[i] > 1.1*w) {
			t.Errorf("the right option stands in place %d in %g sheets, but %g were likely", i+1, places[i], w)
		}
	}
}

func allQuestions(t *testing.T) []*quiz.Question {
	var all []*quiz.Question
	c := embeddedCourse(t)
	for _, l := range c.Lessons {
		for i := range l.Quiz {
			all = append(all, &l.Quiz[i])
		}
	}
	for _, d := range c.Decks {
		for i := range d.Quiz {
			all = append(all, &d.Quiz[i])
		}
	}
	return all
}

// TestQuestions counts the questions and the kinds: the course promises at least
// 150 and every kind.
func TestQuestions(t *testing.T) {
	kinds := map[quiz.Kind]int{}
	all := allQuestions(t)
	for _, q := range all {
		kinds[q.Kind]++
	}
	if len(all) < 150 {
		t.Errorf("the course asks %d questions, at least 150 are promised", len(all))
	}
	for _, k := range []quiz.Kind{quiz.One, quiz.Many, quiz.Number, quiz.Order, quiz.Match, quiz.Spot} {
		if kinds[k] == 0 {
			t.Errorf("no question is of kind %s", k)
		}
	}
}

// TestKeys gives every question its right answer and a wrong one, several times
// drawn.
func TestKeys(t *testing.T) {
	for _, lesson := range embeddedCourse(t).Lessons {
		var spot quiz.Spotter
		if lesson.Task != nil {
			spot = lesson.Spotter()
		}
		for i := range lesson.Quiz {
			testKey(t, &lesson.Quiz[i], spot)
		}
	}
	for _, d := range embeddedCourse(t).Decks {
		for i := range d.Quiz {
			testKey(t, &d.Quiz[i], nil)
		}
	}
}

func testKey(t *testing.T, q *quiz.Question, spot quiz.Spotter) {
	t.Helper()
	for seed := range uint64(8) {
		if q.Kind == quiz.Spot && seed > 0 {
			return // nothing is drawn, and grading takes its time
		}
		s, l := q.Draw(context.Background(), seed, spot)
		if err := l.Err(); err != nil {
			t.Errorf("%s: %v", q.Pos, err)
			return
		}
		right, wrong := answersTo(s)
		if v := s.Mark(right); q.Kind != quiz.Spot && !v.Right {
			t.Errorf("%s: the right answer %q is marked wrong", q.Pos, v.Given)
		}
		if v := s.Mark(wrong); v.Right {
			t.Errorf("%s: the wrong answer %q is marked right", q.Pos, v.Given)
		} else if strings.TrimSpace(v.Want) == "" {
			t.Errorf("%s: a wrong answer is not told the right one", q.Pos)
		}
	}
}

// answersTo builds a right and a wrong answer to a sheet from its question's
// own text. The right answer to a Spot question is the grader's secret; taking
// every step is wrong in any case.
func answersTo(s *quiz.Sheet) (right, wrong quiz.Answer) {
	q := s.Question
	at := func(texts []string) (list []int) {
		for _, text := range texts {
			list = append(list, slices.Index(s.Options, text))
		}
		return list
	}
	switch q.Kind {
	case quiz.One, quiz.Many:
		return quiz.Answer{Choice: at(q.Right)}, quiz.Answer{Choice: at(q.Wrong[:1])}
	case quiz.Order:
		right.Choice = at(q.Right)
		wrong.Choice = slices.Clone(right.Choice)
		wrong.Choice[0], wrong.Choice[1] = wrong.Choice[1], wrong.Choice[0]
	case quiz.Match:
		for _, left := range s.Options {
			i := slices.IndexFunc(q.Pairs, func(p quiz.Pair) bool { return p.Left == left })
			right.Choice = append(right.Choice, slices.Index(s.Partners, q.Pairs[i].Right))
		}
		wrong.Choice = append(slices.Clone(right.Choice[1:]), right.Choice[0])
	case quiz.Number:
		right.Number = s.Value
		wrong.Number = s.Value + 3*q.Tolerance + 1
	case quiz.Spot:
		for i := range s.Options {
			wrong.Choice = append(wrong.Choice, i)
		}
	}
	return right, wrong
}

// BenchmarkGrade grades the good answers of the tasks.
func BenchmarkGrade(b *testing.B) {
	for _, lesson := range embeddedCourse(b).Lessons {
		if lesson.Task == nil {
			continue
		}
		files, err := fs.Glob(Embedded(), path.Join(lesson.Dir, "answers", "good*.yaml"))
		if err != nil {
			b.Fatal(err)
		}
		for _, f := range slices.DeleteFunc(files, isLog) {
			o := grader.Options{Log: logBeside(b, f)}
			data, err := fs.ReadFile(Embedded(), f)
			if err != nil {
				b.Fatal(err)
			}
			b.Run("lesson="+lesson.ID+"/answer="+strings.TrimSuffix(path.Base(f), ".yaml"), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if m, l := grader.Grade(lesson.Cell, lesson.Task, f, data, o); len(l) > 0 || m.Points != 100 {
						b.Fatal(l)
					}
				}
			})
		}
	}
}

// BenchmarkLoad loads the course that is built in.
func BenchmarkLoad(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, l := Load(Embedded(), "."); len(l) > 0 {
			b.Fatal(l)
		}
	}
}

// TestStandingCaution holds every lesson in which something moves to the caution
// that belongs to all of them.
func TestStandingCaution(t *testing.T) {
	for _, l := range embeddedCourse(t).Lessons {
		if l.Task != nil && !slices.ContainsFunc(l.Cautions, func(c string) bool {
			return strings.HasPrefix(c, "A simulation teaches habits; it proves no cell safe.")
		}) {
			t.Errorf("%s does not say that a simulation proves no cell safe", l.ID)
		}
	}
}
