package records

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// writerOf returns the connection that a store writes through.
func writerOf(s *Store) *sql.Conn { return s.d.(*sqliteDialect).conn }

// Durable means that each commit is synced: SQLite must be told so.
func TestSettingsThatMakeItDurable(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	for pragma, want := range map[string]string{
		"synchronous":   "2", // FULL
		"journal_mode":  "wal",
		"foreign_keys":  "1",
		"secure_delete": "1",
	} {
		var got string
		if err := writerOf(s).QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %s, %v, want %s", pragma, got, err, want)
		}
	}
	info, err := os.Stat(s.dsn)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode is %v, %v, want readable by its owner alone", info.Mode().Perm(), err)
	}
	if _, err := s.db.ExecContext(t.Context(), "DELETE FROM site"); err == nil {
		t.Error("a connection for reading wrote")
	}
}

func TestPathsWithOddCharacters(t *testing.T) {
	for _, name := range []string{"a b.db", "50%.db", "what?.db", "x#y&z=1.db", "Zoë.db", "file:x.db", "'q'.db"} {
		path := filepath.Join(t.TempDir(), "new", "folder", name)
		s := open(t, path)
		addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 1))
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
		s = open(t, "sqlite:"+path)
		if got, err := s.Attempts(t.Context(), AttemptFilter{}, Page{}); err != nil || len(got) != 1 {
			t.Errorf("%s: %v, %v, want the attempt", name, got, err)
		}
	}
}

func TestDiskFull(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	for i := range 20 {
		addAttempt(t, s, attempt("Ines Calloway", "L07", 50, i))
	}
	var pages int
	if err := writerOf(s).QueryRowContext(t.Context(), "PRAGMA page_count").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	limit := func(n int) {
		t.Helper()
		if _, err := writerOf(s).ExecContext(t.Context(), fmt.Sprintf("PRAGMA max_page_count = %d", n)); err != nil {
			t.Fatal(err)
		}
	}
	limit(pages + 2)
	big := attempt("Ines Calloway", "L07", 50, 21)
	big.Program = make([]byte, 100_000)
	// One that fits and one that doesn't, at the same moment.
	errs := make(chan error, 2)
	go func() { _, err := s.AddAttempt(context.Background(), big); errs <- err }()
	_, err := s.AddAttempt(t.Context(), big)
	for _, err := range []error{err, <-errs} {
		if !errors.Is(err, ErrFull) {
			t.Errorf("AddAttempt: %v, want ErrFull", err)
		}
		wantErr(t, err, "the disk is full; nothing of this was recorded; free some space beside")
	}
	got, err := s.Attempts(t.Context(), AttemptFilter{}, Page{})
	if err != nil || len(got) != 20 {
		t.Errorf("%d attempts, %v, want the 20 from before", len(got), err)
	}
	limit(1 << 30)
	addAttempt(t, s, big)
	progress, err := s.Progress(t.Context(), "Ines Calloway")
	if err != nil || progress[0].Attempts != 21 {
		t.Errorf("Progress = %v, %v, want 21 attempts", progress, err)
	}
	var verdict string
	if err := s.db.QueryRowContext(t.Context(), "PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("integrity check: %s, %v", verdict, err)
	}
}

func TestFileGoneInMidLesson(t *testing.T) {
	for name, spoil := range map[string]func(path string) error{
		"deleted":  os.Remove,
		"moved":    func(p string) error { return os.Rename(p, p+".old") },
		"replaced": func(p string) error { return errors.Join(os.Remove(p), os.WriteFile(p, nil, 0o600)) },
	} {
		s := open(t, sqlitePlace().dsn(t))
		addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 1))
		if err := spoil(s.dsn); err != nil {
			t.Fatal(err)
		}
		_, err := s.AddAttempt(t.Context(), attempt("Ines Calloway", "L07", 60, 2))
		if !errors.Is(err, ErrGone) {
			t.Errorf("%s: AddAttempt: %v, want ErrGone", name, err)
		}
	}
}

func TestDamagedFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "records.db")
	if err := os.WriteFile(path, []byte(strings.Repeat("This is a letter, not records. ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Open(t.Context(), path)
	if !errors.Is(err, ErrDamaged) {
		t.Errorf("Open of a letter: %v, want ErrDamaged", err)
	}
	wantErr(t, err, "or not one of posework's; restore")

	// Pages in the middle overwritten.
	path = filepath.Join(dir, "spoilt.db")
	s := open(t, path)
	for i := range 200 {
		addAttempt(t, s, attempt("Ines Calloway", "L07", 50, i))
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := 4096; i < len(b); i++ {
		b[i] = 0xa5
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if s, err := Open(t.Context(), path); !errors.Is(err, ErrDamaged) {
		if err == nil {
			s.Close()
		}
		t.Errorf("Open of spoilt records: %v, want ErrDamaged", err)
	}
}

func TestPlacesThatCannotBeWritten(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{
		dir,                                  // a folder
		filepath.Join(file, "records.db"),    // below a file
		filepath.Join(file, "a", "b", "c.d"), // deep below a file
		filepath.Join(dir, "nul\x00.db"),
	} {
		_, err := Open(t.Context(), path)
		if !errors.Is(err, ErrReadOnly) {
			t.Errorf("Open(%q): %v, want ErrReadOnly", path, err)
		}
		wantErr(t, err, "give yourself the right to write there, or name another file")
	}
}

func TestBusy(t *testing.T) {
	dsn := sqlitePlace().dsn(t)
	s := open(t, dsn)
	addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 1))
	if _, err := writerOf(s).ExecContext(t.Context(), "PRAGMA busy_timeout = 20"); err != nil {
		t.Fatal(err)
	}
	other, err := sqlitePlace().raw(t, dsn).Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if _, err := other.ExecContext(t.Context(), "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	_, err = s.AddAttempt(t.Context(), attempt("Ines Calloway", "L07", 50, 2))
	if !errors.Is(err, ErrBusy) {
		t.Errorf("AddAttempt: %v, want ErrBusy", err)
	}
	if _, err := other.ExecContext(t.Context(), "ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 3))
}

// A clock that jumps back must not reorder, lose or refuse anything.
func TestClockSetBack(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := open(t, p.dsn(t))
		ctx := t.Context()
		const year = 365 * 24 * 60
		first := addAttempt(t, s, attempt("Ines Calloway", "L07", 90, 10*year))
		second := addAttempt(t, s, attempt("Ines Calloway", "L07", 40, 1))
		sign(t, s, "Ines Calloway", "D1", 100, 10*year)
		sign(t, s, "Ines Calloway", "D1", 100, 2)
		list, err := s.Attempts(ctx, AttemptFilter{}, Page{Newest: true})
		if err != nil || list[0].ID != second || list[1].ID != first {
			t.Errorf("newest first: %v, %v, want the one recorded last", list, err)
		}
		progress, err := s.Progress(ctx, "Ines Calloway")
		if err != nil || !progress[0].Last.Equal(at(1)) || progress[0].Attempts != 2 {
			t.Errorf("Progress = %+v, %v, want the time of the one recorded last", progress, err)
		}
		since, err := s.Attempts(ctx, AttemptFilter{Since: at(5)}, Page{})
		if err != nil || len(since) != 1 || since[0].ID != first {
			t.Errorf("since = %v, %v", since, err)
		}
		if f := verify(t, s); f != nil {
			t.Errorf("faults: %q", f)
		}
		got, err := s.Signed(ctx, SignedFilter{}, 0)
		if err != nil || got[0].Place != 2 || !got[0].At.Equal(at(2)) {
			t.Errorf("Signed = %+v, %v, want the one recorded last", got, err)
		}
	})
}

// explode makes the next change to a table fail inside the database.
func explode(t *testing.T, p place, dsn, table string) {
	t.Helper()
	db := p.raw(t, dsn)
	for _, change := range []string{"INSERT", "UPDATE", "DELETE"} {
		if p.name == "sqlite" {
			must(t, db, fmt.Sprintf("CREATE TRIGGER boom_%s BEFORE %s ON %s BEGIN SELECT RAISE(ABORT, 'boom'); END", change, change, table))
		} else {
			must(t, db, `CREATE OR REPLACE FUNCTION boom() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION 'boom'; END $$`)
			must(t, db, fmt.Sprintf("CREATE TRIGGER boom_%s BEFORE %s ON %s EXECUTE FUNCTION boom()", change, change, table))
		}
	}
	db.Close()
}

// count returns the number of rows in all tables.
func count(t *testing.T, s *Store) map[string]int {
	t.Helper()
	out := map[string]int{}
	for _, table := range []string{"person", "roster", "attempt", "progress", "answer", "practice", "site", "chain", "signer", "erasing"} {
		var n int
		if err := s.db.QueryRowContext(t.Context(), "SELECT count(*) FROM "+table).Scan(&n); err != nil {
			t.Fatal(err)
		}
		out[table] = n
	}
	return out
}

// Whatever fails in the middle of a write, the write is undone as a whole.
func TestWritesThatFailHalfWay(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		for _, table := range []string{"person", "roster", "attempt", "progress", "answer", "practice", "site", "chain", "signer", "erasing"} {
			t.Run(table, func(t *testing.T) {
				dsn := p.dsn(t)
				s := fullStore(t, dsn)
				full := backup(t, s)
				before := fmt.Sprint(count(t, s))
				wrong := s.firstAttempt(t)
				explode(t, p, dsn, table)
				fix := wrong
				fix.Corrects = wrong.ID
				fresh := attempt("New Person", "L01", 50, 300)
				sets := map[string][]Row{
					"person": {&Person{Name: "New Person", At: at(300)}}, "roster": {&Person{Name: "New Person", At: at(300)}},
					"attempt": {&fresh}, "progress": {&fresh},
					"answer":   {&Answer{Person: "Learner 1", Deck: "D", Question: "Q", At: at(300)}},
					"practice": {&Practice{Person: "Learner 1", Lesson: "L", Kind: "run", At: at(300)}},
					"site":     {&SignOff{Person: "Learner 1", Typed: "learner 1", Deck: "D", At: at(300)}},
					"chain":    {&SignOff{Person: "Learner 1", Typed: "learner 1", Deck: "D", At: at(300)}},
					"signer":   {&SignOff{Person: "Learner 1", Typed: "learner 1", Deck: "D", At: at(300)}},
				}
				ok := Answer{Person: "Learner 2", Deck: "D", Question: "Q", At: at(300)}
				if rows := sets[table]; rows != nil {
					if table == "answer" {
						rows = append([]Row{&Practice{Person: "Learner 1", Lesson: "L", Kind: "run", At: at(300)}}, rows...)
					} else {
						rows = append([]Row{&ok}, rows...)
					}
					_, err := s.Add(t.Context(), rows...)
					wantErr(t, err, "boom")
				}
				if table == "attempt" || table == "progress" {
					_, err := s.Add(t.Context(), &fix)
					wantErr(t, err, "boom")
				}
				_, err := s.Forget(t.Context(), "Ines Calloway", at(301))
				if table != "attempt" && table != "progress" && table != "answer" && table != "practice" || p.name == "postgres" {
					wantErr(t, err, "boom") // row triggers don't fire where there is nothing to erase
					if got := fmt.Sprint(count(t, s)); got != before {
						t.Errorf("rows %s, want %s", got, before)
					}
				}
				if f := verify(t, s); f != nil {
					t.Errorf("faults: %q", f)
				}
				if table == "erasing" {
					return
				}
				other := p.dsn(t)
				r := open(t, other)
				explode(t, p, other, table)
				_, err = r.Restore(t.Context(), strings.NewReader(string(full)))
				wantErr(t, err, "boom")
				for name, n := range count(t, r) {
					if n != 0 {
						t.Errorf("%s has %d rows after a restore that failed", name, n)
					}
				}
			})
		}
	})
}

func (s *Store) firstAttempt(t *testing.T) Attempt {
	t.Helper()
	list, err := s.Attempts(t.Context(), AttemptFilter{Standing: true}, Page{Limit: 1})
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	return list[0]
}

// Every way of reading says so when the database is gone.
func TestReadingWithoutADatabase(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := fullStore(t, p.dsn(t))
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		ctx := context.Background()
		calls := map[string]func() error{
			"Attempts":    func() error { _, err := s.Attempts(ctx, AttemptFilter{}, Page{}); return err },
			"of a person": func() error { _, err := s.Attempts(ctx, AttemptFilter{Person: "Learner 1"}, Page{}); return err },
			"Attempt":     func() error { _, err := s.Attempt(ctx, 1); return err },
			"Answers":     func() error { _, err := s.Answers(ctx, "", Page{}); return err },
			"Practices":   func() error { _, err := s.Practices(ctx, "", "", Page{}); return err },
			"Entries":     func() error { _, err := s.Entries(ctx, "", Page{}); return err },
			"SignOffs":    func() error { _, err := s.SignOffs(ctx, "Learner 1", Page{}); return err },
			"Signed":      func() error { _, err := s.Signed(ctx, SignedFilter{}, 0); return err },
			"Progress":    func() error { _, err := s.Progress(ctx, "Learner 1"); return err },
			"Sheet":       func() error { _, err := s.Sheet(ctx, PeopleFilter{}, 0); return err },
			"People":      func() error { _, err := s.People(ctx, PeopleFilter{}, 0); return err },
			"Person":      func() error { _, err := s.Person(ctx, "Learner 1"); return err },
			"PersonByKey": func() error { _, err := s.PersonByKey(ctx, "k"); return err },
			"Heads":       func() error { _, err := s.Heads(ctx); return err },
			"Verify":      func() error { _, err := s.Verify(ctx); return err },
			"About":       func() error { _, err := s.About(ctx, "Learner 1"); return err },
			"Forget":      func() error { _, err := s.Forget(ctx, "Learner 1", at(1)); return err },
			"Backup":      func() error { _, err := s.Backup(ctx, new(strings.Builder), at(1)); return err },
			"Restore":     func() error { _, err := s.Restore(ctx, strings.NewReader("")); return err },
			"AddAnswer": func() error {
				_, err := s.AddAnswer(ctx, Answer{Person: "A", Deck: "D", Question: "Q", At: at(1)})
				return err
			},
			"AddPractice": func() error {
				_, err := s.AddPractice(ctx, Practice{Person: "A", Lesson: "L", Kind: "k", At: at(1)})
				return err
			},
			"AddPerson": func() error { return s.AddPerson(ctx, Person{Name: "A", At: at(1)}) },
			"AddSignOff": func() error {
				_, err := s.AddSignOff(ctx, SignOff{Person: "A", Typed: "a", Deck: "D", At: at(1)})
				return err
			},
			"AllPeople": func() error {
				for _, err := range s.AllPeople(ctx, PeopleFilter{}) {
					return err
				}
				return nil
			},
			"AllAnswers": func() error {
				for _, err := range s.AllAnswers(ctx, "") {
					return err
				}
				return nil
			},
		}
		for name, call := range calls {
			if err := call(); err == nil || errors.Is(err, ErrNotFound) {
				t.Errorf("%s of closed records: %v, want an error", name, err)
			}
		}
	})
}

func TestAllGoesThroughEveryPage(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	const n = 2500
	var rows []Row
	for i := range n {
		name := fmt.Sprintf("Learner %d", i)
		a := attempt(name, "L07", 50, i)
		rows = append(rows, &a, &Answer{Person: name, Deck: "D", Question: "Q", At: at(i)},
			&Practice{Person: name, Lesson: "L07", Kind: "run", At: at(i)}, &SignOff{Person: name, Typed: name, Deck: "D", Note: "n", At: at(i)})
	}
	if _, err := s.Add(t.Context(), rows...); err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	got := map[string]int{}
	bad := func(err error) {
		if err != nil {
			t.Error(err)
		}
	}
	for _, err := range s.AllAttempts(ctx, AttemptFilter{}) {
		bad(err)
		got["attempts"]++
	}
	for _, err := range s.AllAnswers(ctx, "") {
		bad(err)
		got["answers"]++
	}
	for _, err := range s.AllPractices(ctx, "") {
		bad(err)
		got["practice"]++
	}
	for _, err := range s.AllEntries(ctx, "") {
		bad(err)
		got["entries"]++
	}
	for p, err := range s.AllPeople(ctx, PeopleFilter{}) {
		bad(err)
		got["people"]++
		got["person "+p.Name]++
	}
	for _, err := range s.AllStandings(ctx, PeopleFilter{}) {
		bad(err)
		got["standings"]++
	}
	for _, err := range s.AllSigned(ctx, SignedFilter{}) {
		bad(err)
		got["signed"]++
	}
	for _, k := range []string{"attempts", "answers", "practice", "entries", "people", "standings", "signed"} {
		if got[k] != n {
			t.Errorf("%d %s, want %d", got[k], k, n)
		}
	}
	if got["person Learner 7"] != 1 {
		t.Error("a person came twice, or not at all")
	}
	for e, err := range s.AllSignOffs(ctx, "Learner 7") {
		bad(err)
		if e.Signer.Name != "Learner 7" {
			t.Errorf("sign-off of %s", e.Signer.Name)
		}
		break
	}
}

func TestWord(t *testing.T) {
	if err := Word("crew", ""); err != nil {
		t.Errorf("no crew: %v", err)
	}
	wantErr(t, Word("crew", "a\tb"), `crew "a\tb" holds a character that is not seen`)
	if SameName("Zoë", "x\x00") || SameName("\x00", "\x00") || !SameName(" zoe\u0308  MARSH", "Zoë Marsh") {
		t.Error("SameName")
	}
}

// A slow reader must not hold up those who write.
func TestReadersDoNotBlockWriters(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	for i := range 10 {
		addAttempt(t, s, attempt("Ines Calloway", "L07", 50, i))
	}
	seen := 0
	for _, err := range s.AllAttempts(t.Context(), AttemptFilter{}) {
		if err != nil {
			t.Fatal(err)
		}
		seen++
		ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
		if _, err := s.AddAnswer(ctx, Answer{Person: "Ines Calloway", Deck: "D", Question: "Q", At: at(1)}); err != nil {
			t.Errorf("AddAnswer while reading: %v", err)
		}
		cancel()
	}
	if seen != 10 {
		t.Errorf("read %d attempts", seen)
	}
}
