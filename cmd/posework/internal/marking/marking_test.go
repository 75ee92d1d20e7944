package marking

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"posework/engine/practice"
	"posework/grader"
	"posework/grader/records"
	"posework/grader/report"
	"posework/lessons"
)

const lessonID = "approach-the-crate"

func local(t testing.TB) *Local {
	t.Helper()
	c, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	return &Local{Course: c, Version: "v1"}
}

func answer(t testing.TB, l *Local, name string) []byte {
	t.Helper()
	data, err := fs.ReadFile(lessons.Embedded(), l.Course.Find(lessonID).Dir+"/answers/"+name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func at() time.Time { return time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC) }

// A stream gives the same results in the same order with any number of workers,
// and each is what the grader says of the program alone.
func TestStreamIsTheSameForAnyWorkers(t *testing.T) {
	l := local(t)
	names := []string{"good-step-by-step.yaml", "flawed-fast-approach.yaml", "flawed-dropped.yaml", "good-with-routines.yaml"}
	var jobs []Job
	for i := range 24 {
		j := Job{Learner: fmt.Sprintf("Learner %02d", i), Lesson: lessonID, File: "hand-ins/" + names[i%4], Text: answer(t, l, names[i%4]), At: at()}
		switch i {
		case 3:
			j.Unread = "a link; links aren't followed"
		case 5:
			j.Text = []byte("\x00\x01\xff")
		case 7:
			j.Lesson = "no-such"
		case 9:
			j.Course = "v0"
		}
		jobs = append(jobs, j)
	}
	var want []Result
	for _, n := range []int{1, 2, 7} {
		var got []Result
		for r, err := range Stream(t.Context(), n, slices.Values(jobs), l.Grade) {
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, r)
		}
		if want == nil {
			want = got
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%d workers give other results", n)
		}
	}
	for i, r := range want {
		mark, errs := grader.Grade(l.Course.Find(lessonID).For(r.Job.Learner).Cell, l.Course.Find(lessonID).For(r.Job.Learner).Task, filepath.Base(jobs[i].File), jobs[i].Text, grader.Options{})
		trouble := map[int]string{3: "links aren't followed", 7: `no lesson "no-such"`, 9: "to be graded with course v0, but course v1 is here"}[i]
		switch {
		case r.Job.Learner != jobs[i].Learner:
			t.Errorf("result %d is of %s", i, r.Job.Learner)
		case trouble != "":
			if r.Mark != nil || !strings.Contains(r.Trouble, trouble) || !strings.Contains(r.Document().Errors[0].Text, trouble) {
				t.Errorf("result %d: %q, want %q", i, r.Trouble, trouble)
			}
		case i == 5:
			if r.Mark != nil || len(r.Errors) == 0 {
				t.Errorf("a binary file gives %+v", r)
			}
		case !reflect.DeepEqual(r.Mark, mark) || len(r.Errors) != len(errs):
			t.Errorf("result %d differs from the grader's own", i)
		}
	}
}

// A fault of the grader becomes a result; the others are graded.
func TestPanicIsAResult(t *testing.T) {
	l := local(t)
	broken := *l.Course.Find(lessonID)
	task := *broken.Task
	task.Vary = nil // or a cell of the learner's own would take the missing one's place
	broken.ID, broken.Cell, broken.Task = "broken", nil, &task
	l.Course.Lessons = append(l.Course.Lessons, &broken)
	good := Job{Learner: "Ines Calloway", Lesson: lessonID, File: "a.yaml", Text: answer(t, l, "good-step-by-step.yaml"), At: at()}
	bad := good
	bad.Lesson = "broken"
	var got []Result
	for r, err := range Stream(t.Context(), 2, slices.Values([]Job{good, bad, good}), l.Grade) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, r)
	}
	if len(got) != 3 || !got[0].Mark.Passed || got[1].Mark != nil || !strings.Contains(got[1].Trouble, "the grader failed on this program: ") || !got[2].Mark.Passed {
		t.Errorf("results %+v", got)
	}
}

// counting counts what is asked of it and what it holds at most.
type counting struct{ begun, asked atomic.Int64 }

func (c *counting) Grade(ctx context.Context, j Job) (Result, error) {
	c.begun.Add(1)
	return Result{Job: j}, ctx.Err()
}

func (c *counting) jobs(n int) iter.Seq[Job] {
	return func(yield func(Job) bool) {
		for i := range n {
			c.asked.Add(1)
			if !yield(Job{File: fmt.Sprint(i)}) {
				return
			}
		}
	}
}

// Jobs are asked for as results are taken, so that memory does not grow with
// their number; a consumer that stops ends everything.
func TestStreamHoldsFewJobs(t *testing.T) {
	const workers, all = 3, 100_000
	c := &counting{}
	taken := 0
	for range Stream(t.Context(), workers, c.jobs(all), c.Grade) {
		taken++
		if held := int(c.asked.Load()) - taken; held > ahead*workers+workers+2 {
			t.Fatalf("%d jobs are held", held)
		}
		if taken == 1000 {
			break
		}
	}
	if asked := c.asked.Load(); asked > 1000+ahead*workers+workers+2 {
		t.Errorf("%d jobs were asked for, though 1000 were taken", asked)
	}
}

func TestStreamEndsWithItsContext(t *testing.T) {
	c := &counting{}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	taken := 0
	var last error
	for _, err := range Stream(ctx, 2, c.jobs(100_000), c.Grade) {
		if taken++; taken == 10 {
			cancel()
		}
		last = err
	}
	if !errors.Is(last, context.Canceled) || taken > 100 {
		t.Errorf("after %d results: %v", taken, last)
	}
	// One that is over before it begins.
	for _, err := range Stream(ctx, 2, c.jobs(1), c.Grade) {
		last = err
	}
	if !errors.Is(last, context.Canceled) {
		t.Errorf("a context that is over: %v", last)
	}
}

// A job that is kept is in the records once, as what came of it.
func TestKept(t *testing.T) {
	l := local(t)
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	l.Store = store
	log := &practice.Log{Program: "x", Entries: []practice.Entry{{Kind: practice.SteppedEntry, Step: "1", Speed: 12.5}}}
	jobs := []Job{
		{Key: Key("a"), Learner: "Ines Calloway", Lesson: lessonID, File: "a.yaml", Text: answer(t, l, "good-step-by-step.yaml"), Log: log, At: at(), Keep: true},
		{Key: Key("a"), Learner: "Ines Calloway", Lesson: lessonID, File: "a.yaml", Text: answer(t, l, "good-step-by-step.yaml"), Log: log, At: at(), Keep: true},
		{Key: Key("b"), Learner: "Tom Ashdown", Lesson: lessonID, File: "b.yaml", Text: []byte("steps: 1"), At: at(), Keep: true},
		{Learner: "Tom Ashdown", Lesson: lessonID, File: "c.yaml", Text: answer(t, l, "flawed-dropped.yaml"), At: at()},
		{Learner: "Tom Ashdown", Lesson: lessonID, File: "d.yaml", Unread: "a folder", At: at(), Keep: true},
	}
	var ids []int64
	for _, j := range jobs {
		r, err := l.Grade(t.Context(), j)
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, r.Attempt)
	}
	if ids[0] == 0 || ids[1] != ids[0] || ids[2] <= ids[1] || ids[3] != 0 || ids[4] != 0 {
		t.Errorf("attempts %d", ids)
	}
	got, err := store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{})
	if err != nil || len(got) != 2 {
		t.Fatalf("Attempts = %v, %v", got, err)
	}
	a, b := got[0], got[1]
	if a.Person != "Ines Calloway" || a.Verdict != records.Passed || a.Points != 100 || a.Course != "v1" || !a.At.Equal(at()) ||
		string(a.Program) != string(jobs[0].Text) || !strings.Contains(string(a.Log), `"speed":12.5`) {
		t.Errorf("the attempt kept is %+v", a)
	}
	if b.Verdict != records.Ungraded || !strings.Contains(string(b.Findings), `"code":"F`) || b.Log != nil {
		t.Errorf("the attempt that can't be graded is kept as %+v", b)
	}
	l.Store = nil
	if _, err := l.Grade(t.Context(), jobs[0]); !errors.Is(err, records.ErrClosed) {
		t.Errorf("keeping without records: %v", err)
	}
}

// Keys run words together in one way only.
func TestKey(t *testing.T) {
	if Key("ab", "c") == Key("a", "bc") || len(Key()) != 32 {
		t.Error("keys are not told apart")
	}
}

// More findings than a record holds are cut off between two of them.
func TestRecordHasRoom(t *testing.T) {
	m := &grader.Mark{}
	for i := range 5000 {
		m.Findings = append(m.Findings, grader.Finding{Code: "CONTACT", From: float64(i), Text: strings.Repeat("x", 300)})
	}
	r := Result{Job: Job{Learner: "Ines Calloway", Lesson: lessonID, At: at()}, Mark: m}
	a, err := r.Record()
	var list []report.Finding
	if err != nil || json.Unmarshal(a.Findings, &list) != nil {
		t.Fatalf("Record: %v", err)
	}
	if n := len(a.Findings); n > records.MaxText || n < records.MaxText-1000 || len(list) < 1000 || list[len(list)-1].From != float64(len(list)-1) {
		t.Errorf("%d bytes, %d findings", n, len(list))
	}
	for n, want := range []string{"[]", "[1]", "[1,2]"} {
		if got, err := list0(n); got != want || err != nil {
			t.Errorf("%d items: %s, %v", n, got, err)
		}
	}
}

func list0(n int) (string, error) {
	j, err := list([]int{1, 2}[:n])
	return string(j), err
}
