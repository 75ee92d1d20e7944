package queue

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/riverqueue/river"

	"posework/cmd/posework/internal/marking"
	"posework/engine/diag"
	"posework/engine/practice"
	"posework/grader"
	"posework/grader/records"
	"posework/grader/report"
	"posework/lessons"
)

const lessonID = "approach-the-crate"

// schema returns the URL of an empty schema on the server for tests.
func schema(t testing.TB) string {
	t.Helper()
	base := os.Getenv("POSEWORK_TEST_POSTGRES")
	if base == "" {
		t.Skip("set POSEWORK_TEST_POSTGRES to the URL of a PostgreSQL server whose user may create schemas")
	}
	c, err := pgx.ParseConfig(base)
	if err != nil {
		t.Fatal(err)
	}
	db := stdlib.OpenDB(*c)
	name := "t_" + strings.ToLower(rand.Text())
	if _, err := db.ExecContext(t.Context(), "CREATE SCHEMA "+name); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if _, err := db.ExecContext(context.Background(), "DROP SCHEMA "+name+" CASCADE"); err != nil {
			t.Error(err)
		}
		db.Close()
	})
	u, err := url.Parse(base)
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	q.Set("search_path", name)
	u.RawQuery = q.Encode()
	return u.String()
}

func open(t testing.TB, dsn string) *Queue {
	t.Helper()
	store, err := records.Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	q, err := Open(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func local(t testing.TB) *marking.Local {
	t.Helper()
	c, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	return &marking.Local{Course: c, Version: "v1"}
}

func program(t testing.TB, l *marking.Local, name string) []byte {
	t.Helper()
	data, err := fs.ReadFile(lessons.Embedded(), l.Course.Find(lessonID).Dir+"/answers/"+name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func at() time.Time { return time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC) }

// jobs are n programs of as many learners, each kept.
func jobs(t testing.TB, l *marking.Local, n int) []marking.Job {
	t.Helper()
	names := []string{"good-step-by-step.yaml", "flawed-fast-approach.yaml", "flawed-dropped.yaml"}
	list := make([]marking.Job, n)
	for i := range list {
		list[i] = marking.Job{
			Key: marking.Key("test", fmt.Sprint(i)), Learner: fmt.Sprintf("Learner %d", i), Lesson: lessonID, File: names[i%3],
			Text: program(t, l, names[i%3]), Course: "v1", At: at(), Keep: true,
		}
	}
	return list
}

// work runs a worker in this process until the test ends or stop is called.
func work(t testing.TB, q *Queue, w Worker) (stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	over := make(chan error, 1)
	go func() { over <- q.Work(ctx, w) }()
	var once sync.Once
	stop = func() {
		once.Do(func() {
			cancel()
			if err := <-over; err != nil {
				t.Errorf("Work: %v", err)
			}
		})
	}
	t.Cleanup(stop)
	return stop
}

// What comes out of the queue is what the grader says, and it is recorded once,
// however often the job is handed in.
func TestGradesThroughTheQueue(t *testing.T) {
	q, l := open(t, schema(t)), local(t)
	work(t, q, Worker{Local: l, Cores: 2})
	list := jobs(t, l, 9)
	list[4].Text = []byte("\x00\xff")
	list[3].File = "a\x00\xff.yaml"
	list[5].Unread = "a link; links aren't followed"
	list[6].Learner = strings.Repeat("x", 1000) // can't be recorded
	list[7].Keep, list[7].Key = false, ""
	list[8].Log = &practice.Log{Program: grader.Digest(list[8].Text), Entries: []practice.Entry{{Kind: practice.SteppedEntry, Step: "a\x00b", Speed: 20}}}
	for range 2 {
		i := 0
		for r, err := range marking.Stream(t.Context(), 4, slices.Values(list), q.GradePile) {
			if err != nil {
				t.Fatal(err)
			}
			want := l.Examine(list[i])
			want.Job, want.Attempt = r.Job, r.Attempt
			if i == 6 {
				if r.Mark != nil || !strings.Contains(r.Trouble, "can't be recorded: attempt: name has 1000 characters") {
					t.Errorf("a name that is too long: %+v", r)
				}
			} else if !reflect.DeepEqual(r, want) {
				t.Errorf("job %d: %+v\nwant %+v", i, r, want)
			}
			if kept := i != 5 && i != 6 && i != 7; kept != (r.Attempt != 0) {
				t.Errorf("job %d: attempt %d", i, r.Attempt)
			}
			i++
		}
	}
	got, err := q.store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{})
	if err != nil || len(got) != 6 {
		t.Fatalf("%d attempts, %v, want 6", len(got), err)
	}
	if got, err = q.store.Attempts(t.Context(), records.AttemptFilter{Person: "Learner 0"}, records.Page{}); err != nil || len(got) != 1 {
		t.Fatalf("Attempts = %v, %v", got, err)
	}
	if a := got[0]; a.Verdict != records.Passed || a.Course != "v1" || !a.At.Equal(at()) || string(a.Program) != string(list[0].Text) {
		t.Errorf("the first attempt is %+v", a)
	}
}

// A worker gives a job of another course back and says so; one with that course
// grades it.
func TestOtherCourse(t *testing.T) {
	q, l := open(t, schema(t)), local(t)
	other := *l
	other.Version = "v2"
	said := make(chan string, 100)
	work(t, q, Worker{Local: &other, Cores: 1, Say: func(s string) { said <- s }, refused: 50 * time.Millisecond})

	// In its own queue it stays away from the other worker.
	j := jobs(t, l, 2)
	ctx, cancel := context.WithTimeout(t.Context(), time.Second)
	defer cancel()
	if _, err := q.Grade(ctx, j[0]); !errors.Is(err, context.DeadlineExceeded) {
		t.Fatalf("a job that no worker may take: %v", err)
	}
	waiting, err := q.Waiting(t.Context())
	if want := []Waiting{{"v1", true, 1, 0}}; err != nil || !reflect.DeepEqual(waiting, want) {
		t.Errorf("Waiting = %v, %v, want %v", waiting, err, want)
	}
	// Put into the wrong queue, it comes back.
	wrong, err := argsOf(&j[1], "")
	if err != nil {
		t.Fatal(err)
	}
	in, err := q.client.Insert(t.Context(), wrong, &river.InsertOpts{Queue: q.name("v2")})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		select {
		case s := <-said:
			if !strings.Contains(s, "goes back to the queue: the program is to be graded with course v1, but course v2 is here") {
				t.Errorf("the worker says %q", s)
			}
		case <-time.After(20 * time.Second):
			t.Fatal("the worker says nothing")
		}
	}
	row, err := q.client.JobGet(t.Context(), in.Job.ID)
	if err != nil || row.FinalizedAt != nil {
		t.Errorf("the job is %+v, %v", row, err)
	}
	// The one that was given up waiting for is still there, and graded once.
	work(t, q, Worker{Local: l, Cores: 1})
	r, err := q.Grade(t.Context(), j[0])
	if err != nil || r.Mark == nil || !r.Mark.Passed {
		t.Errorf("Grade = %+v, %v", r, err)
	}
}

// Another build of the program, whose marks may differ, grades nothing of this
// one's.
func TestOtherBuild(t *testing.T) {
	dsn := schema(t)
	q, l := open(t, dsn), local(t)
	q.Build = "1.0"
	newer := open(t, dsn)
	newer.Build = "1.1"
	work(t, newer, Worker{Local: l, Cores: 1})
	j := jobs(t, l, 1)[0]
	ctx, cancel := context.WithTimeout(t.Context(), time.Second)
	defer cancel()
	if _, err := q.Grade(ctx, j); !errors.Is(err, context.DeadlineExceeded) {
		t.Fatalf("a job for another build: %v", err)
	}
	got, err := newer.Waiting(t.Context())
	if want := []Waiting{{"v1", false, 1, 0}}; err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("Waiting = %v, %v, want %v", got, err, want)
	}
	// The same job for the newer build is another one, recorded once all the same.
	r, err := newer.Grade(t.Context(), j)
	if err != nil || r.Mark == nil {
		t.Fatalf("Grade = %+v, %v", r, err)
	}
	work(t, q, Worker{Local: l, Cores: 1})
	again, err := q.Grade(t.Context(), j)
	if err != nil || again.Attempt != r.Attempt {
		t.Errorf("Grade = %+v, %v, want attempt %d", again, err, r.Attempt)
	}
}

// A worker that is told to end finishes what it is at and gives the rest back.
func TestEndsCleanly(t *testing.T) {
	q, l := open(t, schema(t)), local(t)
	list := jobs(t, l, 200)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	graded := make(chan struct{}, len(list))
	stop := work(t, q, Worker{Local: l, Cores: 1, Grace: 10 * time.Second, Graded: func(*marking.Result) { graded <- struct{}{} }})
	var results sync.WaitGroup
	results.Go(func() {
		for range marking.Stream(ctx, 200, slices.Values(list), q.GradePile) {
		}
	})
	<-graded
	stop()
	cancel()
	results.Wait()
	var running, over int
	err := q.db.QueryRowContext(t.Context(), "SELECT count(*) FILTER (WHERE state = 'running'), count(*) FILTER (WHERE state = 'completed') FROM river_job").Scan(&running, &over)
	if err != nil || running != 0 || over == 0 || over > 150 {
		t.Errorf("%d jobs are still held, %d graded, %v", running, over, err)
	}
	attempts, err := q.store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{Limit: 1000})
	if err != nil || len(attempts) != over {
		t.Errorf("%d attempts of %d jobs, %v", len(attempts), over, err)
	}
}

// A program that ends every worker is given up in the end, with the reason.
func TestGivenUp(t *testing.T) {
	q, l := open(t, schema(t)), local(t)
	j := jobs(t, l, 1)[0]
	result := make(chan marking.Result, 1)
	go func() {
		r, err := q.Grade(context.WithoutCancel(t.Context()), j)
		if err != nil {
			t.Error(err)
		}
		result <- r
	}()
	s, err := newSign(t.Context(), q.db, q.name("v1"), func(int64) bool { return false })
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	// Workers that die as soon as they have taken it.
	for n := 1; n <= attempts; {
		r, err := q.db.ExecContext(t.Context(), "UPDATE river_job SET state = 'running', attempt = attempt + 1, attempted_at = now(), attempted_by = array_append(attempted_by, $1) WHERE state = 'available'", fmt.Sprintf("posework-%08x", n))
		if err != nil {
			t.Fatal(err)
		}
		if taken, _ := r.RowsAffected(); taken == 0 {
			continue // not in the queue yet
		}
		if err := s.rescue(t.Context()); err != nil {
			t.Fatal(err)
		}
		n++
	}
	r := <-result
	if r.Mark != nil || r.Trouble != "no worker could grade it: 20 workers did not come to an end with it" {
		t.Errorf("result %+v", r)
	}
}

// A job that a worker has ended, but could not say so, is given back after a
// while; one that it has in hand is not.
func TestEndNotTold(t *testing.T) {
	q, l := open(t, schema(t)), local(t)
	inHand := map[int64]bool{}
	s, err := newSign(t.Context(), q.db, q.name("v1"), func(id int64) bool { return inHand[id] })
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	var ids []int64
	for _, j := range jobs(t, l, 3) {
		id, err := q.insert(t.Context(), &j, priorityOne)
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, id)
	}
	inHand[ids[0]] = true
	_, err = q.db.ExecContext(t.Context(), `UPDATE river_job SET state = 'running', attempt = 1, attempted_by = ARRAY[$1],
		attempted_at = now() - CASE id WHEN $2 THEN interval '1 s' ELSE interval '60 s' END`, s.name(), ids[1])
	if err != nil {
		t.Fatal(err)
	}
	if err := s.rescue(t.Context()); err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"running", "running", "available"} {
		if row, err := q.client.JobGet(t.Context(), ids[i]); err != nil || string(row.State) != want {
			t.Errorf("job %d is %s, %v, want %s", i, row.State, err, want)
		}
	}
}

// Connections that the server ends at random moments lose nothing: everything is
// asked again, and counts once.
func TestConnectionsCut(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for what could not be told")
	}
	dsn := schema(t)
	app := "cut_" + strings.ToLower(rand.Text()[:8])
	q, l := open(t, dsn+"&application_name="+app), local(t)
	work(t, q, Worker{Local: l, Cores: 2})
	ctx, stop := context.WithCancel(t.Context())
	var cutter sync.WaitGroup
	cuts := 0
	admin := open(t, dsn)
	cutter.Go(func() {
		for range 40 { // six seconds
			if time.Sleep(150 * time.Millisecond); ctx.Err() != nil {
				return
			}
			var n int
			err := admin.db.QueryRowContext(t.Context(), "SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE application_name = $1", app).Scan(&n)
			if err != nil {
				t.Error(err)
			}
			cuts += n
		}
	})
	list := jobs(t, l, 300)
	n := 0
	for r, err := range marking.Stream(t.Context(), 30, slices.Values(list), q.Grade) {
		if err != nil {
			t.Fatal(err)
		}
		if r.Mark == nil || r.Job.Key != list[n].Key {
			t.Errorf("result %d: %+v", n, r)
		}
		n++
	}
	stop()
	cutter.Wait()
	counts := map[string]int{}
	for a, err := range admin.store.AllAttempts(t.Context(), records.AttemptFilter{}) {
		if err != nil {
			t.Fatal(err)
		}
		counts[a.Job]++
	}
	t.Logf("%d results, %d connections cut", n, cuts)
	if n != len(list) || len(counts) != len(list) || cuts < 10 {
		t.Errorf("%d results, %d attempts of %d programs; %d connections cut", n, len(counts), len(list), cuts)
	}
}

// What a person handed in goes when they are forgotten, before it is graded and
// after.
func TestForget(t *testing.T) {
	q, l := open(t, schema(t)), local(t)
	list := jobs(t, l, 3)
	list[1].Learner = "LEARNER  0"
	ctx, cancel := context.WithTimeout(t.Context(), time.Second)
	defer cancel()
	results := make(chan marking.Result, 1)
	go func() {
		r, err := q.Grade(context.WithoutCancel(ctx), list[0])
		if err != nil {
			t.Error(err)
		}
		results <- r
	}()
	for _, j := range list[1:] {
		ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
		_, err := q.Grade(ctx, j)
		if cancel(); !errors.Is(err, context.DeadlineExceeded) {
			t.Fatal(err)
		}
	}
	for _, want := range []int{2, 0} {
		if n, err := Held(t.Context(), q.store, " learner 0 "); n != want || err != nil {
			t.Errorf("Held = %d, %v, want %d", n, err, want)
		}
		if err := Forget(t.Context(), q.store, " learner 0 "); err != nil {
			t.Error(err)
		}
	}
	if r := <-results; r.Trouble != "it was taken out of the queue before it was graded" {
		t.Errorf("who waits for it learns %+v", r)
	}
	if w, err := q.Waiting(t.Context()); err != nil || len(w) != 1 || w[0].Jobs != 1 {
		t.Errorf("Waiting = %v, %v", w, err)
	}
}

// Where there is no queue, nobody's jobs are in it.
func TestForgetWithoutQueue(t *testing.T) {
	for _, dsn := range []func() string{func() string { return filepath.Join(t.TempDir(), "records.db") }, func() string { return schema(t) }} {
		store, err := records.Open(t.Context(), dsn())
		if err != nil {
			t.Fatal(err)
		}
		defer store.Close()
		if n, err := Held(t.Context(), store, "Ines Calloway"); n != 0 || err != nil {
			t.Errorf("Held = %d, %v", n, err)
		}
		if err := Forget(t.Context(), store, "Ines Calloway"); err != nil {
			t.Error(err)
		}
	}
}

func TestNeedsPostgres(t *testing.T) {
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	if _, err := Open(t.Context(), store); !errors.Is(err, ErrNoQueue) {
		t.Errorf("Open on a file: %v", err)
	}
}

// A result comes back from the queue as it went in, unfinished examinations
// included.
func TestEncode(t *testing.T) {
	j := marking.Job{Learner: "Ines Calloway"}
	in := marking.Result{
		Job: j, Seed: 7, Own: []report.Own{{Key: "rack.y", Value: -143, Unit: "mm"}}, Trouble: "t", Attempt: 9,
		Mark:   &grader.Mark{Points: 1.0 / 3, Checks: []grader.Result{{Measured: grader.Value{Lo: math.Inf(-1), Hi: math.Inf(1), Unit: "mm"}}}},
		Errors: diag.List{{Pos: diag.Pos{Filename: "a.yaml", Line: 3, Column: 4}, Code: "F012", Text: "x"}},
	}
	data, err := encode(&in)
	if err != nil {
		t.Fatal(err)
	}
	text := fmt.Sprintf("%q", b64(data))
	out, err := decode(j, []byte(text))
	if err != nil || !reflect.DeepEqual(out, in) {
		t.Errorf("decode = %+v, %v, want %+v", out, err, in)
	}
	for _, wrong := range []string{"", "7", `"AAAA"`} {
		if _, err := decode(j, []byte(wrong)); err == nil || !strings.Contains(err.Error(), "read a result from the queue") {
			t.Errorf("decode(%q): %v", wrong, err)
		}
	}
}

func b64(data []byte) string { return base64.StdEncoding.EncodeToString(data) }
