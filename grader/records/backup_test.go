package records

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// fullStore holds rows of every kind, an erased person and corrections.
func fullStore(t testing.TB, dsn string) *Store {
	t.Helper()
	s := signedStore(t, dsn)
	var rows []Row // together, so that they share a sync
	for i := range 30 {
		a := attempt(fmt.Sprintf("Learner %d", i%5), fmt.Sprintf("L%02d", i%3), float64(i)*100/30, i)
		a.Program = []byte{byte(i), 0, 0xff}
		if i%4 == 0 {
			a.Job = fmt.Sprintf("job-%d", i)
		}
		rows = append(rows, &a)
	}
	rows = append(rows, &Answer{Person: "Learner 1", Deck: "D1", Question: "D1-Q1", Given: "<b>&\"\u2028 ü", Right: true, At: at(3)},
		&Practice{Person: "Learner 1", Lesson: "L01", Seed: 1<<64 - 1, Kind: "run", Data: []byte(`{"a": "\u0000"}`), At: at(4)})
	ids, err := s.Add(t.Context(), rows...)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < 30; i += 10 {
		fix := *rows[i].(*Attempt)
		fix.Corrects, fix.Points, fix.Verdict, fix.Job = ids[i], 1.0/3, NotPassed, ""
		fix.Regrades, fix.Log = ids[i], json.RawMessage(`{"Program": "\u00fc"}`)
		addAttempt(t, s, fix)
	}
	addAttempt(t, s, attempt("Learner 9", "L01", 5, 90)) // the newest id goes with its person
	if _, err := s.Forget(t.Context(), "Learner 9", at(99)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Forget(t.Context(), "Abel Root", at(99)); err != nil {
		t.Fatal(err)
	}
	return s
}

func backup(t testing.TB, s *Store) []byte {
	t.Helper()
	var b bytes.Buffer
	if _, err := s.Backup(t.Context(), &b, at(100)); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A backup of before attempts were graded again is read all the same.
func TestBackupOfBefore(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	addAttempt(t, s, attempt("Ines Calloway", "L07", 95, 1))
	lines := strings.Split(string(backup(t, s)), "\n")
	sum := sha256.New()
	for i, line := range lines[:len(lines)-2] {
		lines[i] = strings.Replace(line, `,"regrades":null,"log":""`, "", 1)
		fmt.Fprintln(sum, lines[i])
	}
	lines[len(lines)-2] = fmt.Sprintf(`{"end":{"rows":2,"sha256":"%x"}}`, sum.Sum(nil))
	old := strings.Join(lines, "\n")
	if strings.Contains(old, "regrades") {
		t.Fatal("the columns are still there")
	}
	r := open(t, sqlitePlace().dsn(t))
	if n, err := r.Restore(t.Context(), strings.NewReader(old)); n != 2 || err != nil {
		t.Fatalf("Restore = %d, %v", n, err)
	}
	got, err := r.Attempts(t.Context(), AttemptFilter{}, Page{})
	if err != nil || len(got) != 1 || got[0].Points != 95 || got[0].Regrades != 0 || got[0].Log != nil {
		t.Errorf("Attempts = %+v, %v", got, err)
	}
}

func TestBackupRestores(t *testing.T) {
	eachPlace(t, func(t *testing.T, from place) {
		s := fullStore(t, from.dsn(t))
		want := backup(t, s)
		progress := func(s *Store) string {
			t.Helper()
			sheet, err := s.Sheet(t.Context(), PeopleFilter{}, 0)
			if err != nil || len(sheet) != 7 {
				t.Fatalf("Sheet = %v, %v, want 7 people", sheet, err)
			}
			return fmt.Sprint(sheet)
		}
		wantSums := progress(s)
		eachPlace(t, func(t *testing.T, to place) {
			r := open(t, to.dsn(t))
			n, err := r.Restore(t.Context(), bytes.NewReader(want))
			if err != nil {
				t.Fatal(err)
			}
			if lines := bytes.Count(want, []byte("\n")); n != lines-2 {
				t.Errorf("Restore gave %d rows of %d lines", n, lines)
			}
			if r.ID() != s.ID() {
				t.Errorf("identity is %s, want %s", r.ID(), s.ID())
			}
			if got := backup(t, r); !bytes.Equal(got, want) {
				t.Errorf("a backup of the restored records differs:\n%.2000s\nwant\n%.2000s", got, want)
			}
			if f := verify(t, r); f != nil {
				t.Errorf("faults after restoring: %q", f)
			}
			if got := progress(r); got != wantSums {
				t.Errorf("progress is %s, want %s", got, wantSums)
			}
			// Both go on alike; the id of the erased attempt is not given again.
			a := addAttempt(t, s, attempt("Learner 1", "L01", 5, 200))
			b := addAttempt(t, r, attempt("Learner 1", "L01", 5, 200))
			if a < b {
				t.Errorf("the next attempt has id %d; the original gave %d", b, a)
			}
			newest, err := r.Attempts(t.Context(), AttemptFilter{}, Page{Newest: true, Limit: 2})
			if err != nil || newest[0].ID-newest[1].ID != 2 {
				t.Errorf("ids %d, %d: the erased one between was given again, or %v", newest[1].ID, newest[0].ID, err)
			}
			sign(t, r, "Learner 1", "D1", 100, 201)
			if f := verify(t, r); f != nil {
				t.Errorf("faults after going on: %q", f)
			}
			if _, err := r.Restore(t.Context(), bytes.NewReader(want)); !errors.Is(err, ErrNotEmpty) {
				t.Errorf("Restore into records in use: %v, want ErrNotEmpty", err)
			}
		})
	})
}

func TestBackupFile(t *testing.T) {
	s := fullStore(t, sqlitePlace().dsn(t))
	for _, name := range []string{"records.jsonl", "records.jsonl.gz"} {
		path := filepath.Join(t.TempDir(), name)
		n, err := s.BackupFile(t.Context(), path, at(100))
		if err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: mode %v, %v, want readable by its owner alone", name, info.Mode(), err)
		}
		r := open(t, sqlitePlace().dsn(t))
		if m, err := r.RestoreFile(t.Context(), path); err != nil || m != n {
			t.Errorf("RestoreFile(%s) = %d, %v, want %d rows", name, m, err, n)
		}
		if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".*")); left != nil {
			t.Errorf("left behind: %v", left)
		}
	}
	dir := t.TempDir()
	_, err := s.BackupFile(t.Context(), filepath.Join(dir, "none", "x"), at(1))
	wantErr(t, err, "no such file or directory")
	if err := os.Mkdir(filepath.Join(dir, "taken"), 0o700); err != nil {
		t.Fatal(err)
	}
	_, err = s.BackupFile(t.Context(), filepath.Join(dir, "taken"), at(1))
	wantErr(t, err, "backup to "+filepath.Join(dir, "taken")+": file exists")
	if strings.Contains(err.Error(), "\n") || errors.Is(err, os.ErrClosed) {
		t.Errorf("BackupFile tells of its own clearing up: %v", err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); left != nil {
		t.Errorf("a failed backup left %v", left)
	}
	empty := open(t, sqlitePlace().dsn(t))
	_, err = empty.RestoreFile(t.Context(), filepath.Join(dir, "none"))
	wantErr(t, err, "restore: ")
	plain := filepath.Join(dir, "plain.gz")
	if err := os.WriteFile(plain, []byte("this is no gzip file"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = empty.RestoreFile(t.Context(), plain)
	wantErr(t, err, "gzip: invalid header")
}

type brokenWriter struct{ left int }

var errBroken = errors.New("the pipe broke")

func (w *brokenWriter) Write(p []byte) (int, error) {
	if w.left -= len(p); w.left < 0 {
		return 0, errBroken
	}
	return len(p), nil
}

func TestBackupSaysWhenItCannotWrite(t *testing.T) {
	s := fullStore(t, sqlitePlace().dsn(t))
	size := len(backup(t, s))
	for _, n := range []int{0, 5000, size - 1} {
		if _, err := s.Backup(t.Context(), &brokenWriter{n}, at(1)); !errors.Is(err, errBroken) {
			t.Errorf("Backup into %d of %d bytes: %v, want the writer's error", n, size, err)
		}
	}
}

func TestRestoreRefusesDamage(t *testing.T) {
	good := string(backup(t, fullStore(t, sqlitePlace().dsn(t))))
	lines := strings.SplitAfter(strings.TrimSuffix(good, "\n"), "\n")
	change := func(old, new string) string {
		t.Helper()
		if !strings.Contains(good, old) {
			t.Fatalf("the backup has no %q", old)
		}
		return strings.Replace(good, old, new, 1)
	}
	tests := []struct {
		name, in, want string
	}{
		{"empty", "", "line 1: is not the header"},
		{"another file", "name,crew\n", "line 1: is not the header of a posework backup"},
		{"newer format", change("backup/1", "backup/2"), "the backup has the format backup/2, but this program reads backup/1"},
		{"no identity", change(`"id":"`, `"id":"x`), "is not a UUID"},
		{"cut off", strings.Join(lines[:len(lines)-1], ""), "without its last line: it was cut off"},
		{"two in one file", good + good, "there is more after the last line of the backup"},
		{"cut in a line", good[:len(good)/2], "damaged or cut off here"},
		{"row removed", strings.Join(slices.DeleteFunc(slices.Clone(lines), func(l string) bool { return strings.HasPrefix(l, `{"practice":`) }), ""), "altered or damaged"},
		{"person removed", strings.Join(append(lines[:1:1], lines[2:]...), ""), "roster: does not fit the rows before it"},
		{"points altered", change(`"points":100`, `"points":99`), "altered or damaged"},
		{"not a row", change(`{"roster":`, `{"roster"`), "is not a row of a backup"},
		{"unknown table", change(`{"roster":`, `{"rooster":`), "a table that this program does not know"},
		{"unknown column", change(`"crew":"day"`, `"crew":"day","colour":"red"`), "has 8 values, but this program knows 7 of them"},
		{"missing column", change(`,"crew":"day"`, ``), "roster: lacks crew"},
		{"not a number", change(`"place":1`, `"place":"1"`), "chain: place is not what it should be"},
		{"null", change(`"place":1`, `"place":null`), "chain: place is not what it should be"},
		{"null text", change(`"crew":"day"`, `"crew":null`), "crew is not what it should be"},
		{"no points", change(`"points":100`, `"points":null`), "points is not what it should be"},
		{"text for a list", change(`"crew":"day"`, `"crew":["day"]`), "crew is not what it should be"},
		{"bad bytes", change(`"program":"`, `"program":"*`), "program is not what it should be"},
		{"escape in a name", change(`"name":"Learner 0"`, `"name":"Learner \u001b[2J"`), "name is not what it should be"},
		{"escape in a crew", change(`"crew":"day"`, `"crew":"\u001b[2J"`), "holds a character that is not seen"},
		{"no crew", change(`"site":"harrow-mere"`, `"site":""`), "site is empty"},
		{"bad detail", change(`"detail":"{`, `"detail":"{{`), "detail is not JSON"},
		{"row is a number", change(`{"roster":{`, `{"roster":7}`+"\n"+`{"roster":{`), "roster: is not a row"},
		{"points too high", change(`"points":100`, `"points":1e9`), "altered or damaged"},
		{"person unknown", change(`"person":1`, `"person":4711`), "FOREIGN KEY"},
		{"twice", strings.Join(append(lines[:3:3], lines[2:]...), ""), "UNIQUE"},
		{"line too long", lines[0] + strings.Repeat("x", lineMax+1), "token too long"},
		{"bad end", strings.Join(lines[:len(lines)-1], "") + `{"end":7}`, "is not the last line of a backup"},
	}
	s := open(t, sqlitePlace().dsn(t))
	id := s.ID()
	for _, tt := range tests {
		_, err := s.Restore(context.Background(), strings.NewReader(tt.in))
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error is %v, want one that says %q", tt.name, err, tt.want)
		}
	}
	if s.ID() != id {
		t.Error("a refused backup changed the identity")
	}
	// Nothing was left behind: the good one still fits in.
	if _, err := s.Restore(context.Background(), strings.NewReader(good)); err != nil {
		t.Error(err)
	}
}

func FuzzRestore(f *testing.F) {
	good := backup(f, fullStore(f, sqlitePlace().dsn(f)))
	f.Add(good)
	f.Add(bytes.Split(good, []byte("\n"))[0])
	f.Add([]byte("{\"posework\":\"backup/1\"}\n{\"end\":{}}\n"))
	dir := f.TempDir()
	count := 0
	fresh := func(t testing.TB) *Store {
		count++
		s, err := Open(context.Background(), filepath.Join(dir, fmt.Sprintf("%d.db", count)))
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := fresh(f)
	f.Cleanup(func() { s.Close() })
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, err := s.Restore(context.Background(), bytes.NewReader(data)); err != nil {
			return
		}
		if _, err := s.Verify(context.Background()); err != nil {
			t.Error(err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		s = fresh(t)
	})
}

// What is read of a row is what was written of it.
func FuzzRow(f *testing.F) {
	for _, line := range bytes.Split(backup(f, fullStore(f, sqlitePlace().dsn(f))), []byte("\n")) {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		var named map[string]json.RawMessage
		if json.Unmarshal(line, &named) != nil {
			return
		}
		for _, tab := range tables() {
			values, err := tab.decode(named[tab.name])
			if err != nil {
				continue
			}
			text, err := tab.encode(values)
			if err != nil {
				t.Fatal(err)
			}
			again, err := tab.decode(text)
			if d := cmp.Diff(values, again); err != nil || d != "" {
				t.Fatalf("%s: %v\n%s", text, err, d)
			}
		}
	})
}

func TestCompressedBackupIsPlainInside(t *testing.T) {
	s := fullStore(t, sqlitePlace().dsn(t))
	path := filepath.Join(t.TempDir(), "b.gz")
	if _, err := s.BackupFile(t.Context(), path, at(100)); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if _, err := b.ReadFrom(z); err != nil || !bytes.Equal(b.Bytes(), backup(t, s)) {
		t.Errorf("the compressed backup differs from the plain one, or %v", err)
	}
}

// What can be recorded can be restored: the longest values, of the characters
// that take the most room in JSON.
func TestBackupOfTheLargestRows(t *testing.T) {
	s := open(t, sqlitePlace().dsn(t))
	a := attempt("Ines Calloway", "L07", 50, 1)
	a.Program = bytes.Repeat([]byte{0xff}, MaxText)
	a.Findings = []byte(`"` + strings.Repeat("<", MaxText-2) + `"`)
	g := Answer{Person: a.Person, Deck: "D1", Question: "Q", Given: strings.Repeat("\x01", MaxText), At: at(2)}
	o := SignOff{Person: a.Person, Typed: "someone", Note: strings.Repeat("\x01", MaxText), Deck: "D1", At: at(3)}
	if _, err := s.AddSignOff(t.Context(), SignOff{Person: a.Person, Typed: a.Person, Deck: "D1", At: at(2)}); err != nil {
		t.Fatal(err)
	}
	o.Corrects = 1
	if _, err := s.Add(t.Context(), &a, &g, &o); err != nil {
		t.Fatal(err)
	}
	want := backup(t, s)
	r := open(t, sqlitePlace().dsn(t))
	if _, err := r.Restore(t.Context(), bytes.NewReader(want)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(backup(t, r), want) {
		t.Error("the restored rows differ")
	}
}
