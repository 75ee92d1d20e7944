package room

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"posework/grader/records"
	"posework/lessons"
)

// empty is a room in the built-in course with a clock that the test sets.
func empty(t *testing.T) (*Room, *time.Time) {
	t.Helper()
	store, err := records.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	course, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		t.Fatal(l)
	}
	now := time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)
	r, err := New(t.Context(), course, store, func() time.Time { return now }, now)
	if err != nil {
		t.Fatal(err)
	}
	return r, &now
}

func in(t *testing.T, r *Room, name, site string) *Visitor {
	t.Helper()
	v := NewVisitor(name, "day", site, records.Learner)
	if err := r.Enter(v, 100, 100); err != nil {
		t.Fatal(err)
	}
	return v
}

func tom(t *testing.T, r *Room, site string) *Instructor {
	t.Helper()
	err := r.Store.AddPerson(t.Context(), records.Person{Name: "Tom Ashdown", Role: records.Instructor, Site: site, At: r.Now()})
	if err != nil {
		t.Fatal(err)
	}
	return &Instructor{Room: r, Name: "Tom Ashdown", Site: site}
}

// Who is called stuck, and until when, as the board states the rule.
func TestStuck(t *testing.T) {
	r, now := empty(t)
	v := in(t, r, "Jo Fenwick", "main")
	stuck := func() string { return r.State("").Rows[0].Stuck }
	pass := func(d time.Duration) { *now = now.Add(d); v.Key(*now) }
	if pass(StuckAfter); stuck() != "" {
		t.Error("stuck without a lesson")
	}
	v.At("home-pose", "practises", 0)
	if pass(StuckAfter - time.Second); stuck() != "" {
		t.Error("stuck too soon")
	}
	if pass(time.Second); stuck() == "" {
		t.Error("not stuck when nothing was new for so long")
	}
	if v.At("home-pose", "reads", 0); stuck() == "" {
		t.Error("looking elsewhere in the lesson is something new")
	}
	v.At("home-pose", "practises", 0)
	if v.At("home-pose", "practises", 1); stuck() != "" {
		t.Error("stuck though the program has changed")
	}
	hand := func(v records.Verdict, corrects int64) int64 {
		t.Helper()
		id, err := r.Store.AddAttempt(t.Context(), records.Attempt{Person: "jo fenwick", Lesson: "home-pose", Verdict: v, Corrects: corrects, At: *now})
		if err != nil {
			t.Fatal(err)
		}
		if err := r.Read(t.Context()); err != nil {
			t.Fatal(err)
		}
		return id
	}
	hand(records.NotPassed, 0)
	hand(records.Ungraded, 0)
	if stuck() != "" {
		t.Error("stuck after two misses")
	}
	last := hand(records.NotPassed, 0)
	if got := stuck(); got != "3 hand-ins in a row have not passed" {
		t.Errorf("after three misses: %q", got)
	}
	if v.At("jogging", "reads", 0); stuck() != "" {
		t.Error("stuck in another lesson")
	}
	v.At("home-pose", "reads", 0)
	if hand(records.Withdrawn, last); stuck() != "" {
		t.Error("stuck though the instructor has reset the attempt")
	}
	for range 3 {
		hand(records.NotPassed, 0)
	}
	if hand(records.Passed, 0); stuck() != "" || !r.State("").Rows[0].Passed {
		t.Error("stuck though it is passed")
	}
	if pass(2 * StuckAfter); stuck() != "" {
		t.Error("who has passed is stuck")
	}
	if *now = now.Add(away); !r.State("").Rows[0].Away {
		t.Error("who types nothing is not away")
	}
	if v.Key(*now); r.State("").Rows[0].Away {
		t.Error("who types is away")
	}
}

func TestFoundByFrequency(t *testing.T) {
	r, now := empty(t)
	in(t, r, "Jo Fenwick", "main")
	in(t, r, "Zoë Marsh", "annex")
	add := func(name, findings string) {
		t.Helper()
		_, err := r.Store.AddAttempt(t.Context(), records.Attempt{Person: name, Lesson: "home-pose", Verdict: records.NotPassed, Findings: []byte(findings), At: *now})
		if err != nil {
			t.Fatal(err)
		}
	}
	add("Jo Fenwick", `[{"code":"FAST_APPROACH"},{"code":"FAST_APPROACH"},{"code":"NO_MOTION"}]`)
	add("Jo Fenwick", `[{"code":"FAST_APPROACH"},{"code":"\u001b[2J"},{"code":7}]`)
	add("Jo Fenwick", `[{"code":"FAST_APPROACH"}]`)
	add("Zoë Marsh", `[{"code":"NO_MOTION"}]`)
	if err := r.Read(t.Context()); err != nil {
		t.Fatal(err)
	}
	for site, want := range map[string]string{"": "FAST_APPROACH 2, NO_MOTION 2", "main": "FAST_APPROACH 2, NO_MOTION 1", "annex": "NO_MOTION 1", "none": ""} {
		var got []string
		for _, f := range r.State(site).Found {
			got = append(got, fmt.Sprint(f.Code, " ", f.Count))
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("found at %q: %v, want %s", site, got, want)
		}
	}
}

// What was handed in before is of no interest, what comes while nobody looks is.
func TestSince(t *testing.T) {
	r, now := empty(t)
	add := func(at time.Time) {
		t.Helper()
		_, err := r.Store.AddAttempt(t.Context(), records.Attempt{Person: "Jo Fenwick", Lesson: "home-pose", Verdict: records.NotPassed, Findings: []byte(`[{"code":"NO_MOTION"}]`), At: at})
		if err != nil {
			t.Fatal(err)
		}
	}
	for i := range 300 {
		add(now.Add(-time.Hour + time.Duration(i)*time.Second))
	}
	for range 2 * page {
		add(*now)
	}
	later, err := New(t.Context(), r.Course, r.Store, r.Now, *now)
	if err != nil {
		t.Fatal(err)
	}
	if f := later.State("").Found; len(f) != 1 || f[0].Count != 2*page {
		t.Errorf("found %v, want %d", f, 2*page)
	}
	if err := later.Read(t.Context()); err != nil || later.State("").Found[0].Count != 2*page {
		t.Error("what was read is read again")
	}
}

// Rows whose ids come late are not missed.
func TestCursor(t *testing.T) {
	c := cursor{floor: 10}
	var took []int64
	for _, id := range []int64{9, 10, 11, 13, 11, 12, 13, 12, 100, 68, 69, 68, 101, 69, 100} {
		if c.take(id) {
			took = append(took, id)
		}
	}
	if got := fmt.Sprint(took); got != "[11 13 12 100 69 101]" {
		t.Errorf("took %s", got)
	}
	if len(c.seen) > overlap+1 {
		t.Errorf("%d ids are kept", len(c.seen))
	}
}

func TestInstructor(t *testing.T) {
	r, now := empty(t)
	i := tom(t, r, "main")
	jo, zoe := in(t, r, "Jo Fenwick", "main"), in(t, r, "Zoë Marsh", "annex")
	for _, v := range []*Visitor{jo, zoe} {
		if err := r.Store.AddPerson(t.Context(), records.Person{Name: v.Name, Site: v.Site, At: *now}); err != nil {
			t.Fatal(err)
		}
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	wants := func(err error, text string) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), text) {
			t.Errorf("the error is %v, want %q", err, text)
		}
	}
	must(i.Close(t.Context(), "home-pose"))
	if r.Rules("main", "home-pose").Closed == "" || r.Rules("annex", "home-pose").Closed != "" || r.Rules("main", "jogging").Closed != "" {
		t.Error("the wrong lesson, or the wrong site's, is closed")
	}
	if e := <-jo.Events; e.Kind != Ruled {
		t.Errorf("the learner is told %+v", e)
	}
	if len(zoe.Events) != 0 {
		t.Error("learners of another site are told")
	}
	must(i.Open(t.Context(), "home-pose"))
	if r.Rules("main", "home-pose").Closed != "" {
		t.Error("the lesson stays closed")
	}

	wants(i.Examine(t.Context(), "walk-round-the-cell", 30), "no program to hand in")
	wants(i.Examine(t.Context(), "nowhere", 30), "no program to hand in")
	wants(i.Examine(t.Context(), "home-pose", 0), "from 1 to 480 minutes")
	wants(i.Examine(t.Context(), "home-pose", MostMinutes+1), "from 1 to 480 minutes")
	wants(i.EndExam(t.Context()), "no examination is going on")
	must(i.Examine(t.Context(), "home-pose", 30))
	wants(i.Examine(t.Context(), "home-pose", 30), "end it first")
	rules := r.Rules("main", "home-pose")
	if rules.Exam == nil || !rules.Exam.Until.Equal(now.Add(30*time.Minute)) || r.Rules("main", "jogging").Closed == "" {
		t.Errorf("in an examination: %+v, %+v", rules, r.Rules("main", "jogging"))
	}
	if r.Exam("") == nil || r.Exam("annex") != nil || r.Rules("annex", "jogging").Closed != "" {
		t.Error("the examination is known at the wrong site")
	}
	*now = now.Add(30*time.Minute - 1)
	if r.Exam("main") == nil {
		t.Error("the examination is over too soon")
	}
	*now = now.Add(1)
	if r.Exam("main") != nil || r.Rules("main", "jogging").Closed != "" {
		t.Error("the examination does not end")
	}

	wants(i.Note(t.Context(), " \x1b\x07 "), "the note is empty")
	wants(i.Note(t.Context(), strings.Repeat("x", MostNote+1)), "at most 200 are sent")
	for len(jo.Events) > 0 {
		<-jo.Events
	}
	must(i.Note(t.Context(), "tea\x1b[2J\u202e at ten"))
	if e := <-jo.Events; e.Kind != Noted || e.Text != "tea[2J at ten" || e.From != "Tom Ashdown" {
		t.Errorf("the learner is told %+v", e)
	}

	add := func(name string) int64 {
		t.Helper()
		id, err := r.Store.AddAttempt(t.Context(), records.Attempt{Person: name, Lesson: "home-pose", Verdict: records.NotPassed, At: *now})
		must(err)
		return id
	}
	own, other := add("Jo Fenwick"), add("Zoë Marsh")
	if list, err := i.Attempts(t.Context(), "jo fenwick"); err != nil || len(list) != 1 || list[0].ID != own {
		t.Errorf("Attempts = %v, %v", list, err)
	}
	_, err := i.Attempts(t.Context(), "Zoë Marsh")
	wants(err, "is at another site")
	wants(i.Reset(t.Context(), other), "is at another site")
	must(i.Reset(t.Context(), own))
	if list, err := i.Attempts(t.Context(), "Jo Fenwick"); err != nil || len(list) != 0 {
		t.Errorf("after a reset: %v, %v", list, err)
	}
	wants(i.Reset(t.Context(), own), "was corrected")

	// Who is no instructor any more rules nothing.
	must(r.Store.AddPerson(t.Context(), records.Person{Name: "Tom Ashdown", Role: records.Learner, At: *now}))
	if err := i.Close(t.Context(), "home-pose"); !errors.Is(err, ErrNotInstructor) {
		t.Errorf("a learner rules: %v", err)
	}
	if _, err := i.Attempts(t.Context(), "Jo Fenwick"); !errors.Is(err, ErrNotInstructor) {
		t.Errorf("a learner reads another's attempts: %v", err)
	}
	if err := i.Reset(t.Context(), other); err == nil {
		t.Error("a learner resets")
	}
}

// A session that does not listen holds nobody up, and hears the newest.
func TestTellNeverWaits(t *testing.T) {
	r, _ := empty(t)
	v := in(t, r, "Jo Fenwick", "main")
	for i := range 1000 {
		r.Tell(Event{Kind: Noted, Text: fmt.Sprint(i)})
	}
	last := ""
	for len(v.Events) > 0 {
		last = (<-v.Events).Text
	}
	if last != "999" {
		t.Errorf("the last that is heard is %s", last)
	}
}

func TestFollow(t *testing.T) {
	r, now := empty(t)
	v := in(t, r, "Jo Fenwick", "main")
	changed, stop := r.Watch()
	defer stop()
	ctx, end := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		r.Follow(ctx, time.Millisecond, func(err error) {
			if err != nil {
				t.Errorf("Follow: %v", err)
			}
		})
	}()
	// Ruled elsewhere.
	if _, err := r.Store.AddRuling(t.Context(), records.Ruling{Site: "main", By: "Tom Ashdown", Kind: ruleClose, Lesson: "jogging", At: *now}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []<-chan struct{}{changed} {
		select {
		case <-c:
		case <-time.After(30 * time.Second):
			t.Fatal("nobody is told")
		}
	}
	if e := <-v.Events; e.Kind != Ruled || !r.Closed("main", "jogging") {
		t.Errorf("told %+v", e)
	}
	end()
	<-done
}
