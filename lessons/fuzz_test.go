package lessons

import (
	"bytes"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"posework/engine/diag"
	"posework/engine/program"
	"posework/grader"
	"posework/grader/report"
)

// FuzzGrade grades random valid programs for the lessons: poses near, at and
// beyond the edge of the reach, at limits and alignments, fly-bys of all sizes,
// arcs through places that are one or lie on one line, repeats with shifts, waits
// and signals, payloads, routines, speeds from a thousandth of a mm/s to five
// metres a second. Nothing may panic, no value may be no number, and the same
// program must get the same mark. How long one takes is bounded by the work that
// motion and sweep count: their M013 and NOT_PROVED are no failures here.
func FuzzGrade(f *testing.F) {
	all := tasks(f)
	for i := range 40 {
		data := make([]byte, 200)
		for k := range data {
			data[k] = byte(digest("seed", string(rune(i)), string(rune(k))))
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		lesson, text := drawProgram(all, data)
		if _, l := program.Read("p.yaml", text); len(l) > 0 {
			t.Skip("not a valid program: ", l)
		}
		m, l := grader.Grade(lesson.Cell, lesson.Task, "p.yaml", text, grader.Options{})
		soundMark(t, lesson, m, l)
		again, l2 := grader.Grade(lesson.Cell, lesson.Task, "p.yaml", text, grader.Options{})
		if !bytes.Equal(asJSON(t, lesson, m, l), asJSON(t, lesson, again, l2)) {
			t.Error("graded twice, the program gets two marks")
		}
	})
}

func asJSON(t *testing.T, lesson *Lesson, m *grader.Mark, l diag.List) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := report.JSON(&b, report.New(report.Subject{Lesson: lesson.ID, Program: "p.yaml"}, m, l)); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// soundMark checks what holds of every mark.
func soundMark(t *testing.T, lesson *Lesson, m *grader.Mark, l diag.List) {
	t.Helper()
	if (m == nil) == (len(l) == 0) {
		t.Fatalf("%s: mark %v and diagnostics %v", lesson.ID, m, l)
	}
	if m == nil {
		return
	}
	if nan := noNumber(reflect.ValueOf(*m), "mark"); nan != "" {
		t.Errorf("%s: %s is no number", lesson.ID, nan)
	}
	if math.IsInf(m.Duration, 0) || m.Duration < 0 || m.Points < 0 || m.Points > 100+1e-9 || math.IsInf(m.Points, 0) {
		t.Errorf("%s: %g points for %g s", lesson.ID, m.Points, m.Duration)
	}
	stop := false
	for _, c := range m.Checks {
		stop = stop || c.Must && !(c.Holds && c.Proved)
		if c.Holds && !c.Proved {
			t.Errorf("%s: %s holds and is not proved", lesson.ID, c.Title)
		}
		if v := c.Measured; c.Proved && v.Lo > v.Hi {
			t.Errorf("%s: %s measured %g to %g", lesson.ID, c.Title, v.Lo, v.Hi)
		}
	}
	for i := range m.Findings {
		f := &m.Findings[i]
		stop = stop || f.Severity == grader.Stop
		if math.IsInf(f.From, 0) || math.IsInf(f.To, 0) || f.Measured.Lo > f.Measured.Hi || f.Text == "" {
			t.Errorf("%s: finding %+v", lesson.ID, *f)
		}
	}
	if stop && m.Passed {
		t.Errorf("%s: passed with a finding that stops", lesson.ID)
	}
}

// noNumber returns where a NaN lies in v, "" when there is none.
func noNumber(v reflect.Value, at string) string {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) {
			return at
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if s := noNumber(v.Field(i), at+"."+v.Type().Field(i).Name); s != "" {
				return s
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if s := noNumber(v.Index(i), at); s != "" {
				return s
			}
		}
	}
	return ""
}

// TestShortOfWork grades every answer with less and less work allowed: an
// examination that is cut short may prove less, but never more.
func TestShortOfWork(t *testing.T) {
	if testing.Short() {
		t.Skip("grades every answer several times")
	}
	for _, lesson := range tasks(t) {
		files, err := fs.Glob(Embedded(), lesson.Dir+"/answers/*.yaml")
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range slices.DeleteFunc(files, func(f string) bool { return isLog(f) || filepath.Base(f) == expectFile }) {
			text, err := fs.ReadFile(Embedded(), file)
			if err != nil {
				t.Fatal(err)
			}
			o := grader.Options{Log: logBeside(t, file)}
			whole, l := grader.Grade(lesson.Cell, lesson.Task, file, text, o)
			if len(l) > 0 {
				t.Fatal(l)
			}
			for _, total := range []int{1, 300, 3_000, 30_000} {
				o.Total = total
				m, l := grader.Grade(lesson.Cell, lesson.Task, file, text, o)
				soundMark(t, lesson, m, l)
				if m.Passed && !whole.Passed || m.Points > whole.Points+1e-9 {
					t.Errorf("%s: with a work of %d it gets %g points, passed %v; examined in full %g, %v", file, total, m.Points, m.Passed, whole.Points, whole.Passed)
				}
				for i, c := range m.Checks {
					if c.Holds && !whole.Checks[i].Holds {
						t.Errorf("%s: with a work of %d %s holds, examined in full it does not", file, total, c.Title)
					}
				}
			}
		}
	}
}

// BenchmarkSlow grades the slowest of the random programs that were found, in
// testdata/slow by the id of their lesson.
func BenchmarkSlow(b *testing.B) {
	for _, lesson := range tasks(b) {
		text, err := os.ReadFile(filepath.Join("testdata", "slow", lesson.ID+".yaml"))
		if err != nil {
			continue // none is kept
		}
		b.Run(lesson.ID, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				grader.Grade(lesson.Cell, lesson.Task, "p.yaml", text, grader.Options{})
			}
		})
	}
}
