package records

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// start is an arbitrary moment: a Monday morning at Harrow Mere.
var start = time.Date(2026, 3, 2, 5, 50, 0, 123_456_000, time.UTC)

// at returns a moment some minutes after start.
func at(minutes int) time.Time { return start.Add(time.Duration(minutes) * time.Minute) }

// place makes empty databases of one kind for tests.
type place struct {
	name string
	// dsn returns the name of an empty database.
	dsn func(t testing.TB) string
	// raw opens a database past the store, as an administrator would.
	raw func(t testing.TB, dsn string) *sql.DB
	// disarm takes the triggers off that keep tables append-only.
	disarm func(t testing.TB, db *sql.DB)
}

func sqlitePlace() place {
	return place{
		name: "sqlite",
		dsn:  func(t testing.TB) string { return filepath.Join(t.TempDir(), "records.db") },
		raw: func(t testing.TB, dsn string) *sql.DB {
			t.Helper()
			db, err := sql.Open("sqlite", sqliteURI(dsn))
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { db.Close() })
			return db
		},
		disarm: func(t testing.TB, db *sql.DB) {
			t.Helper()
			for _, table := range []string{"roster", "attempt", "answer", "practice", "person", "signer", "chain"} {
				must(t, db, "DROP TRIGGER "+table+"_fixed")
				must(t, db, "DROP TRIGGER "+table+"_kept")
			}
		},
	}
}

func must(t testing.TB, db *sql.DB, query string, args ...any) {
	t.Helper()
	if _, err := db.ExecContext(context.Background(), query, args...); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
}

// eachPlace runs a test of the contract on every kind of database.
func eachPlace(t *testing.T, test func(t *testing.T, p place)) {
	for _, p := range places(t) {
		t.Run(p.name, func(t *testing.T) {
			if p.dsn == nil {
				t.Skip("NOT TESTED ON POSTGRESQL: set POSEWORK_TEST_POSTGRES to the URL of a server")
			}
			test(t, p)
		})
	}
}

func open(t testing.TB, dsn string) *Store {
	t.Helper()
	s, err := Open(context.Background(), dsn)
	if err != nil {
		t.Fatalf("Open(%q): %v", dsn, err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func attempt(person, lesson string, points float64, minute int) Attempt {
	v := NotPassed
	if points >= 80 {
		v = Passed
	}
	return Attempt{
		Person: person, Lesson: lesson, Program: []byte("posework: program/1\nsteps: []\n"), Seed: 1 << 63,
		Verdict: v, Points: points, Duration: 90*time.Second + 5*time.Microsecond, Course: "1.4.0",
		Findings: json.RawMessage(`[{"code":"CLEARANCE_LOW"}]`), At: at(minute),
	}
}

func addAttempt(t testing.TB, s *Store, a Attempt) int64 {
	t.Helper()
	id, err := s.AddAttempt(t.Context(), a)
	if err != nil {
		t.Fatalf("AddAttempt: %v", err)
	}
	return id
}

// wantErr fails unless err is there and its text holds want.
func wantErr(t testing.TB, err error, want string) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error is %v, want one that says %q", err, want)
	}
}

func TestAttemptsSurviveReopening(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		dsn := p.dsn(t)
		s := open(t, dsn)
		want := []Attempt{
			attempt("Ines Calloway", "L07", 62.5, 1),
			attempt("Ines Calloway", "L07", 91, 2),
			attempt("Ødegård, Björn", "L08", 0, 3),
		}
		want[2].Program = []byte{0, 0xff, '\n'} // not text at all
		want[2].Verdict = Ungraded
		want[2].Job = "job-1"
		for i := range want {
			want[i].ID = addAttempt(t, s, want[i])
		}
		id := s.ID()
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s = open(t, dsn)
		if s.ID() != id || len(id) != 36 {
			t.Errorf("ID() = %q, was %q", s.ID(), id)
		}
		got, err := s.Attempts(t.Context(), AttemptFilter{}, Page{})
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("Attempts (-want +got):\n%s", d)
		}
		one, err := s.Attempt(t.Context(), want[1].ID)
		if err != nil || cmp.Diff(want[1], one) != "" {
			t.Errorf("Attempt(%d) = %v, %v", want[1].ID, one, err)
		}
		if _, err := s.Attempt(t.Context(), 999); !errors.Is(err, ErrNotFound) {
			t.Errorf("Attempt(999): %v, want ErrNotFound", err)
		}
	})
}

func TestProgressSumsAttempts(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		for i, points := range []float64{40, 85, 70} {
			addAttempt(t, s, attempt("Ines Calloway", "L07", points, 10*i))
		}
		addAttempt(t, s, attempt("ines  CALLOWAY", "L08", 20, 3)) // the same person, typed otherwise
		addAttempt(t, s, attempt("Tom Ashdown", "L08", 90, 4))
		got, err := s.Progress(t.Context(), "INES CALLOWAY")
		want := []Progress{
			{Lesson: "L07", Attempts: 3, Best: 85, Passed: true, Last: at(20)},
			{Lesson: "L08", Attempts: 1, Best: 20, Passed: false, Last: at(3)},
		}
		if d := cmp.Diff(want, got); err != nil || d != "" {
			t.Errorf("Progress: %v (-want +got):\n%s", err, d)
		}
		got, err = s.Progress(t.Context(), "Nobody Here")
		if err != nil || got != nil {
			t.Errorf("Progress of a stranger = %v, %v, want none", got, err)
		}
		_, err = s.Progress(t.Context(), " ")
		wantErr(t, err, "name is empty")
	})
}

func TestCorrections(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		addAttempt(t, s, attempt("Ines Calloway", "L07", 60, 1))
		wrong := addAttempt(t, s, attempt("Ines Calloway", "L07", 95, 2))

		fix := attempt("Ines Calloway", "L07", 70, 3)
		fix.Corrects = wrong
		fixed := addAttempt(t, s, fix)
		got, err := s.Progress(t.Context(), "Ines Calloway")
		want := []Progress{{Lesson: "L07", Attempts: 2, Best: 70, Last: at(3)}}
		if d := cmp.Diff(want, got); err != nil || d != "" {
			t.Errorf("Progress after a correction: %v (-want +got):\n%s", err, d)
		}

		// The corrected row is still there, word for word.
		old, err := s.Attempt(t.Context(), wrong)
		if err != nil || old.Points != 95 || old.Verdict != Passed {
			t.Errorf("corrected attempt = %+v, %v, want it unchanged", old, err)
		}
		standing, err := s.Attempts(t.Context(), AttemptFilter{Standing: true}, Page{})
		if err != nil || len(standing) != 2 || standing[1].ID != fixed {
			t.Errorf("standing attempts = %v, %v", standing, err)
		}

		twice := fix
		_, err = s.AddAttempt(t.Context(), twice)
		wantErr(t, err, fmt.Sprintf("attempt %d was corrected by attempt %d already", wrong, fixed))
		other := attempt("Tom Ashdown", "L07", 70, 3)
		other.Corrects = fixed
		_, err = s.AddAttempt(t.Context(), other)
		wantErr(t, err, "another person's")
		other.Corrects = 4711
		if _, err = s.AddAttempt(t.Context(), other); !errors.Is(err, ErrNotFound) {
			t.Errorf("correcting nothing: %v, want ErrNotFound", err)
		}
		if _, err := s.Person(t.Context(), "Tom Ashdown"); !errors.Is(err, ErrNotFound) {
			t.Errorf("a refused attempt left its person behind: %v", err)
		}

		// Withdraw everything: no attempts count, so there is no progress.
		for _, a := range standing {
			w := attempt("Ines Calloway", "L07", 0, 5)
			w.Verdict, w.Corrects = Withdrawn, a.ID
			addAttempt(t, s, w)
		}
		got, err = s.Progress(t.Context(), "Ines Calloway")
		if err != nil || len(got) != 0 {
			t.Errorf("Progress after withdrawing all = %v, %v", got, err)
		}
	})
}

// Grading again corrects the mark, keeps the program with its practice log, and
// leaves the day of the hand-in the last one.
func TestRegrades(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		a := attempt("Ines Calloway", "L07", 95, 1)
		a.Log = json.RawMessage(`{"Program":"x"}`)
		first := addAttempt(t, s, a)
		addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 2))

		again := a
		again.Points, again.Verdict, again.Course, again.At = 70, NotPassed, "1.5.0", at(90)
		again.Corrects, again.Regrades, again.Job = first, first, "again-1"
		second := addAttempt(t, s, again)
		if same := addAttempt(t, s, again); same != second {
			t.Errorf("the same job again gives attempt %d, want %d", same, second)
		}
		got, err := s.Attempt(t.Context(), second)
		if err != nil || got.Regrades != first || got.Corrects != first || string(got.Log) != string(a.Log) || string(got.Program) != string(a.Program) {
			t.Errorf("Attempt = %+v, %v", got, err)
		}
		progress, err := s.Progress(t.Context(), "Ines Calloway")
		if d := cmp.Diff([]Progress{{Lesson: "L07", Attempts: 2, Best: 70, Last: at(2)}}, progress); err != nil || d != "" {
			t.Errorf("Progress: %v (-want +got):\n%s", err, d)
		}

		for _, wrong := range []struct {
			regrades int64
			person   string
			want     string
		}{
			{second, "Ines Calloway", fmt.Sprintf("attempt %d was itself graded again from attempt %d", second, first)},
			{first, "Tom Ashdown", "another person's"},
			{4711, "Ines Calloway", "not found"},
		} {
			b := attempt(wrong.person, "L07", 10, 3)
			b.Regrades = wrong.regrades
			_, err := s.AddAttempt(t.Context(), b)
			wantErr(t, err, wrong.want)
		}
		b := attempt("Ines Calloway", "L07", 10, 3)
		b.Log = json.RawMessage("{")
		_, err = s.AddAttempt(t.Context(), b)
		wantErr(t, err, "practice log is not JSON")
	})
}

func TestJobCountsOnce(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		a := attempt("Ines Calloway", "L07", 60, 1)
		a.Job = "job-7"
		first := addAttempt(t, s, a)
		if again := addAttempt(t, s, a); again != first {
			t.Errorf("the same job gave attempt %d, then %d", first, again)
		}
		got, err := s.Progress(t.Context(), a.Person)
		if err != nil || len(got) != 1 || got[0].Attempts != 1 {
			t.Errorf("Progress = %v, %v, want one attempt", got, err)
		}
		a.Lesson = "L08"
		_, err = s.AddAttempt(t.Context(), a)
		wantErr(t, err, `job "job-7" recorded another person's or lesson's attempt`)
	})
}

func TestPages(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		var ids []int64
		for i := range 7 {
			ids = append(ids, addAttempt(t, s, attempt("Ines Calloway", []string{"L07", "L08"}[i%2], 50, i)))
		}
		list := func(w AttemptFilter, pg Page) []int64 {
			t.Helper()
			got, err := s.Attempts(t.Context(), w, pg)
			if err != nil {
				t.Fatal(err)
			}
			var out []int64
			for _, a := range got {
				out = append(out, a.ID)
			}
			return out
		}
		tests := []struct {
			name   string
			filter AttemptFilter
			page   Page
			want   []int64
		}{
			{"first", AttemptFilter{}, Page{Limit: 3}, ids[:3]},
			{"next", AttemptFilter{}, Page{Limit: 3, After: ids[2]}, ids[3:6]},
			{"last", AttemptFilter{}, Page{Limit: 3, After: ids[5]}, ids[6:]},
			{"beyond", AttemptFilter{}, Page{After: ids[6]}, nil},
			{"newest", AttemptFilter{}, Page{Limit: 2, Newest: true}, []int64{ids[6], ids[5]}},
			{"newest next", AttemptFilter{}, Page{Limit: 2, Newest: true, After: ids[5]}, []int64{ids[4], ids[3]}},
			{"lesson", AttemptFilter{Lesson: "L08"}, Page{}, []int64{ids[1], ids[3], ids[5]}},
			{"person", AttemptFilter{Person: "ines calloway", Lesson: "L07"}, Page{Newest: true, Limit: 1}, []int64{ids[6]}},
			{"since, inclusive", AttemptFilter{Since: at(5)}, Page{}, ids[5:]},
		}
		for _, tt := range tests {
			if got := list(tt.filter, tt.page); !slices.Equal(got, tt.want) {
				t.Errorf("%s: ids %v, want %v", tt.name, got, tt.want)
			}
		}
		if _, err := s.Attempts(t.Context(), AttemptFilter{Person: "Nobody"}, Page{}); !errors.Is(err, ErrNotFound) {
			t.Errorf("attempts of a stranger: %v, want ErrNotFound", err)
		}
	})
}

func TestPeople(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		ctx := t.Context()
		for i, q := range []Person{
			{Name: "Tom Ashdown", Crew: "night", Site: "harrow-mere", Key: "ssh-ed25519 AAAA tom"},
			{Name: "ines calloway", Crew: "day", Site: "harrow-mere", Role: Instructor},
			{Name: "Ines Calloway", Crew: "day", Site: "harrow-mere", Role: Instructor}, // unchanged
			{Name: "Zoë Marsh"},
			{Name: "Tom Ashdown", Crew: "day", Site: "harrow-mere", Key: "ssh-ed25519 BBBB tom"},
		} {
			q.At = at(i)
			if err := s.AddPerson(ctx, q); err != nil {
				t.Fatal(err)
			}
		}
		addAttempt(t, s, attempt("Abel Root", "L01", 10, 9)) // known by an attempt alone
		want := []Person{
			{Name: "Abel Root", Site: DefaultSite, Role: Learner, At: at(9)},
			{Name: "ines calloway", Crew: "day", Site: "harrow-mere", Role: Instructor, At: at(1)},
			{Name: "Tom Ashdown", Crew: "day", Site: "harrow-mere", Role: Learner, Key: "ssh-ed25519 BBBB tom", At: at(4)},
			{Name: "Zoë Marsh", Site: DefaultSite, Role: Learner, At: at(3)},
		}
		got, err := s.People(ctx, PeopleFilter{}, 0)
		if d := cmp.Diff(want, got); err != nil || d != "" {
			t.Errorf("People: %v (-want +got):\n%s", err, d)
		}
		got, err = s.People(ctx, PeopleFilter{Crew: "day", Site: "harrow-mere", After: "INES CALLOWAY"}, 1)
		if d := cmp.Diff(want[2:3], got); err != nil || d != "" {
			t.Errorf("People of the day crew: %v (-want +got):\n%s", err, d)
		}
		got, err = s.People(ctx, PeopleFilter{Site: DefaultSite}, 5)
		if err != nil || len(got) != 2 {
			t.Errorf("People of the default site = %v, %v, want two", got, err)
		}
		one, err := s.PersonByKey(ctx, "ssh-ed25519 BBBB tom")
		if err != nil || one != want[2] {
			t.Errorf("PersonByKey = %v, %v", one, err)
		}
		for _, key := range []string{"ssh-ed25519 AAAA tom", "", "x"} { // replaced, none, unknown
			if _, err := s.PersonByKey(ctx, key); !errors.Is(err, ErrNotFound) {
				t.Errorf("PersonByKey(%q): %v, want ErrNotFound", key, err)
			}
		}
		err = s.AddPerson(ctx, Person{Name: "Abel Root", Key: "ssh-ed25519 BBBB tom", At: at(9)})
		wantErr(t, err, "the key of Abel Root is Tom Ashdown's")
		if err := s.AddPerson(ctx, Person{Name: "Zoë Marsh", Key: "ssh-ed25519 AAAA tom", At: at(9)}); err != nil {
			t.Errorf("a key that was given up: %v", err)
		}
		want[3].Key, want[3].At = "ssh-ed25519 AAAA tom", at(9)
		sheet, err := s.Sheet(ctx, PeopleFilter{}, 2)
		wantSheet := []Standing{
			{Person: want[0], Lessons: []Progress{{Lesson: "L01", Attempts: 1, Best: 10, Last: at(9)}}},
			{Person: want[1]},
		}
		if d := cmp.Diff(wantSheet, sheet); err != nil || d != "" {
			t.Errorf("Sheet: %v (-want +got):\n%s", err, d)
		}
		if sheet, err = s.Sheet(ctx, PeopleFilter{Crew: "none"}, 2); err != nil || len(sheet) != 0 {
			t.Errorf("Sheet of an empty crew = %v, %v", sheet, err)
		}
	})
}

func TestAnswersAndPractice(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		ctx := t.Context()
		answers := []Answer{
			{Person: "Tom Ashdown", Deck: "D1", Question: "D1-Q1", Given: "2, 4", Right: true, Duration: 8 * time.Second, Course: "1", At: at(0)},
			{Person: "Tom Ashdown", Deck: "D1", Question: "D1-Q3", Given: "300 mm/s \x00\xff", At: at(1)},
			{Person: "Ines Calloway", Deck: "L02", Question: "L02-Q1", Given: "330", Right: true, At: at(2)},
		}
		var err error
		for i := range answers {
			if answers[i].ID, err = s.AddAnswer(ctx, answers[i]); err != nil {
				t.Fatal(err)
			}
		}
		answers[1].Given = "300 mm/s \uFFFD" // what no database keeps is left out
		got, err := s.Answers(ctx, "Tom Ashdown", Page{})
		if d := cmp.Diff(answers[:2], got); err != nil || d != "" {
			t.Errorf("Answers: %v (-want +got):\n%s", err, d)
		}
		all, err := s.Answers(ctx, "", Page{})
		if err != nil || len(all) != 3 {
			t.Errorf("Answers of all = %v, %v", all, err)
		}

		logs := []Practice{
			{Person: "Tom Ashdown", Lesson: "L07", Seed: 7, Kind: "run", Data: json.RawMessage(`{"mode":"manual"}`), At: at(3)},
			{Person: "Tom Ashdown", Lesson: "L08", Kind: "step", At: at(4)},
		}
		for i := range logs {
			if logs[i].ID, err = s.AddPractice(ctx, logs[i]); err != nil {
				t.Fatal(err)
			}
		}
		logs[1].Data = json.RawMessage("{}")
		pr, err := s.Practices(ctx, "Tom Ashdown", "", Page{})
		if d := cmp.Diff(logs, pr); err != nil || d != "" {
			t.Errorf("Practices: %v (-want +got):\n%s", err, d)
		}
		pr, err = s.Practices(ctx, "Tom Ashdown", "L08", Page{})
		if d := cmp.Diff(logs[1:], pr); err != nil || d != "" {
			t.Errorf("Practices of L08: %v (-want +got):\n%s", err, d)
		}
		if _, err := s.Practices(ctx, "Nobody", "", Page{}); !errors.Is(err, ErrNotFound) {
			t.Errorf("practice of a stranger: %v, want ErrNotFound", err)
		}
		if _, err := s.Answers(ctx, "Nobody", Page{}); !errors.Is(err, ErrNotFound) {
			t.Errorf("answers of a stranger: %v, want ErrNotFound", err)
		}
	})
}

func TestAddIsWholeOrNothing(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		a := attempt("Ines Calloway", "L07", 50, 1)
		b := attempt("Ines Calloway", "L07", 50, 1)
		b.Corrects = 4711 // fails in the database, after a was written
		if _, err := s.Add(t.Context(), &Answer{Person: "Tom Ashdown", Deck: "D1", Question: "Q", At: at(1)}, &a, &b); !errors.Is(err, ErrNotFound) {
			t.Fatalf("Add: %v, want ErrNotFound", err)
		}
		people, err := s.People(t.Context(), PeopleFilter{}, 0)
		if err != nil || len(people) != 0 {
			t.Errorf("people after a refused Add = %v, %v, want none", people, err)
		}
		ids, err := s.Add(t.Context(), &a, &Answer{Person: "Tom Ashdown", Deck: "D1", Question: "Q", At: at(1)})
		if err != nil || len(ids) != 2 {
			t.Errorf("Add = %v, %v", ids, err)
		}
	})
}

func TestRefusedRows(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	good := attempt("Ines Calloway", "L07", 50, 1)
	change := func(f func(*Attempt)) *Attempt { a := good; f(&a); return &a }
	var nan float64
	nan = nan / nan
	tests := []struct {
		row  Row
		want string
	}{
		{change(func(a *Attempt) { a.Person = "" }), "attempt: name is empty"},
		{change(func(a *Attempt) { a.Person = "a\x1b[2Jb" }), "name holds the character U+001B, which is not seen; remove it"},
		{change(func(a *Attempt) { a.Person = "a\u202eb" }), "U+202E"},
		{change(func(a *Attempt) { a.Person = "a\xffb" }), "name is not valid UTF-8"},
		{change(func(a *Attempt) { a.Person = strings.Repeat("ö", 101) }), "name has 101 characters, but at most 100 are kept"},
		{change(func(a *Attempt) { a.Lesson = "" }), "lesson is empty"},
		{change(func(a *Attempt) { a.Lesson = strings.Repeat("x", 201) }), "lesson has 201 bytes, but at most 200 are kept"},
		{change(func(a *Attempt) { a.Lesson = "L\n" }), `lesson "L\n" holds a character that is not seen`},
		{change(func(a *Attempt) { a.Course = "\xff" }), "course is not valid UTF-8"},
		{change(func(a *Attempt) { a.Verdict = "fine" }), `verdict "fine" is unknown`},
		{change(func(a *Attempt) { a.Verdict = Withdrawn }), "withdrawn needs the id"},
		{change(func(a *Attempt) { a.Points = nan }), "points is NaN, but must lie from 0 to 100"},
		{change(func(a *Attempt) { a.Points = 100.5 }), "points is 100.5"},
		{change(func(a *Attempt) { a.Duration = -1 }), "must not be negative"},
		{change(func(a *Attempt) { a.Findings = json.RawMessage("{") }), "findings is not JSON"},
		{change(func(a *Attempt) { a.Program = make([]byte, MaxText+1) }), "program has 1048577 bytes, but at most 1048576 are kept"},
		{change(func(a *Attempt) { a.At = time.Time{} }), "time is not given"},
		{&Person{Name: "A", Role: "boss", At: at(0)}, `person: role is "boss", but must be learner or instructor`},
		{&Answer{Person: "A", Question: "Q", At: at(0)}, "answer: deck is empty"},
		{&Practice{Person: "A", Lesson: "L", At: at(0)}, "practice: kind is empty"},
		{&SignOff{Person: "A", Deck: "D1", At: at(0)}, "sign-off: typed name is empty"},
		{&SignOff{Person: "Ines Calloway", Typed: "Tom", Deck: "D1", At: at(0)}, `the typed name is "Tom", but "Ines Calloway" worked through it`},
		{&SignOff{Person: "A", Typed: "A", Deck: "D1", Asked: []string{""}, Missed: []string{"\n"}, At: at(0)}, "question is empty"},
	}
	for _, tt := range tests {
		_, err := s.Add(t.Context(), tt.row)
		wantErr(t, err, tt.want)
	}
	people, err := s.People(t.Context(), PeopleFilter{}, 0)
	if err != nil || len(people) != 0 {
		t.Errorf("people after refused rows = %v, %v, want none", people, err)
	}
}

func TestAppendOnly(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		dsn := p.dsn(t)
		s := open(t, dsn)
		ctx := t.Context()
		a := attempt("Ines Calloway", "L07", 50, 1)
		if _, err := s.Add(ctx, &Person{Name: a.Person, At: at(0)}, &a, &Answer{Person: a.Person, Deck: "D1", Question: "Q", At: at(1)},
			&Practice{Person: a.Person, Lesson: "L07", Kind: "run", At: at(1)},
			&SignOff{Person: a.Person, Typed: a.Person, Deck: "D1", At: at(1)}); err != nil {
			t.Fatal(err)
		}
		db := p.raw(t, dsn)
		for _, q := range []string{
			"UPDATE attempt SET points = 100", "DELETE FROM attempt", "UPDATE answer SET correct = 1", "DELETE FROM answer",
			"UPDATE practice SET kind = 'x'", "DELETE FROM practice", "UPDATE roster SET crew = 'x'", "DELETE FROM roster",
			"UPDATE person SET name = 'x'", "DELETE FROM person", "UPDATE signer SET typed = 'x'", "DELETE FROM signer",
			"UPDATE chain SET points = 100", "DELETE FROM chain",
		} {
			_, err := db.ExecContext(ctx, q)
			wantErr(t, err, "records are append-only")
		}
	})
}

func TestConcurrentWriters(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		dsn := p.dsn(t)
		stores := []*Store{open(t, dsn), open(t, dsn)} // two programs on one database
		const writers, each = 8, 25
		var wg sync.WaitGroup
		for w := range writers {
			wg.Go(func() {
				s := stores[w%2]
				for i := range each {
					a := attempt(fmt.Sprintf("Learner %d", w%4), "L07", float64(i), i)
					o := SignOff{Person: a.Person, Typed: a.Person, Deck: "D1", At: at(i)}
					if _, err := s.Add(t.Context(), &a, &o); err != nil {
						t.Errorf("Add: %v", err)
					}
				}
			})
		}
		wg.Wait()
		sheet, err := stores[0].Sheet(t.Context(), PeopleFilter{}, 0)
		if err != nil || len(sheet) != 4 {
			t.Fatalf("Sheet = %v, %v", sheet, err)
		}
		for _, row := range sheet {
			if len(row.Lessons) != 1 || row.Lessons[0].Attempts != writers/4*each || row.Lessons[0].Best != each-1 {
				t.Errorf("%s: %+v, want %d attempts", row.Person.Name, row.Lessons, writers/4*each)
			}
		}
		heads, err := stores[1].Heads(t.Context())
		if err != nil || len(heads) != 1 || heads[0].Place != writers*each {
			t.Errorf("Heads = %v, %v, want one with %d places", heads, err, writers*each)
		}
	})
}

func TestClosedStore(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddAttempt(context.Background(), attempt("A", "L", 1, 1)); !errors.Is(err, ErrClosed) {
		t.Errorf("AddAttempt after Close: %v, want ErrClosed", err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("second Close: %v", err)
	}
}

func TestGivenUpBeforeWriting(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		for range 20 { // the queue has room: either way out must be safe
			_, err := s.AddAttempt(ctx, attempt("A", "L", 1, 1))
			if err != nil && !errors.Is(err, context.Canceled) {
				t.Errorf("AddAttempt: %v", err)
			}
		}
	})
}
