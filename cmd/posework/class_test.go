package main

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"posework/cmd/posework/internal/class"
	"posework/grader/records"
	"posework/lessons"
)

// handIns makes the folder of a class of three and returns it.
func handIns(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, answer := range map[string]string{
		"Ines Calloway.yaml": "good-step-by-step.yaml", "Jo Fenwick.yaml": "good-with-routines.yaml", "Tom Ashdown.yaml": "flawed-fast-approach.yaml",
	} {
		data, err := os.ReadFile(answers + answer)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// changedCourse is the course with one thing of its pick lesson changed.
func changedCourse(t *testing.T, old, new string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, lessons.Embedded()); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "12-approach-the-crate", "lesson.md")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.ReplaceAll(string(text), old, new)
	if changed == string(text) {
		t.Fatalf("%s is nowhere in the lesson", old)
	}
	if err := os.WriteFile(name, []byte(changed), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// After a course change the attempts on record are graded again: what changed is
// told with the reason, the old marks stay, and the new ones count when they are
// kept, once.
func TestClassAgain(t *testing.T) {
	file := filepath.Join(t.TempDir(), "records.db")
	records1 := []string{"--records", file}
	if code, _, stderr := call(t, "", append(records1, "class", handIns(t), "-l", "approach-the-crate", "--keep")...); code != 1 {
		t.Fatalf("status %d, %s", code, stderr)
	}
	before := attempts(t, file)

	// The lesson asks for slower approaches now: nobody's is slow enough.
	stricter := append([]string{"--course", changedCourse(t, "slow: 50 mm, at-most: 100 mm/s", "slow: 50 mm, at-most: 40 mm/s")}, records1...)
	again := append(stricter, "class", "--again", "--json", "-")
	code, stdout, stderr := call(t, "", again...)
	var out class.Again
	if err := json.Unmarshal([]byte(stdout), &out); err != nil || code != 1 || stderr != "" {
		t.Fatalf("status %d, %v, %s", code, err, stderr)
	}
	if out.Attempts != 3 || len(out.Changes) != 3 || out.Kept != 0 {
		t.Fatalf("again: %+v", out)
	}
	for i, c := range out.Changes {
		if c.Attempt != int64(i+1) || c.Before.Points != before[i].Points || c.Now.Points >= c.Before.Points || c.Trouble != "" ||
			len(c.Come) == 0 || c.Come[len(c.Come)-1].Code != "FAST_RETRACT" || len(c.Gone) != 0 || c.Before.Course == c.Now.Course {
			t.Errorf("change %d: %+v", i, c)
		}
	}
	if got := attempts(t, file); fmt.Sprint(got) != fmt.Sprint(before) {
		t.Errorf("without --keep the records changed: %v", got)
	}

	// In words.
	_, stdout, _ = call(t, "", append(stricter, "class", "--again", "--lesson", "approach-the-crate")...)
	for _, want := range []string{"3 attempts graded again with course ", ": 0 as before, 3 changed\n", "Jo Fenwick, approach-the-crate: 100 passed, now ", "before; came: FAST_APPROACH (2), FAST_RETRACT (2)\n",
		"      3      0  FAST_RETRACT\n"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("%q is not in\n%s", want, stdout)
		}
	}

	// Kept, they count in place of the old ones.
	if _, stdout, _ = call(t, "", append(stricter, "class", "--again", "--keep", "--csv", filepath.Join(t.TempDir(), "again.csv"))...); !strings.Contains(stdout, "\n3 new marks kept as corrections; the old ones stay on record.\n") {
		t.Errorf("with --keep:\n%s", stdout)
	}
	got := attempts(t, file)
	if len(got) != 6 || fmt.Sprint(got[:3]) != fmt.Sprint(before) {
		t.Fatalf("attempts %v", got)
	}
	for i, a := range got[3:] {
		old := before[i]
		if a.Regrades != old.ID || a.Corrects != old.ID || a.Person != old.Person || string(a.Program) != string(old.Program) || a.Seed != old.Seed || a.Course == old.Course {
			t.Errorf("attempt %d is %+v", a.ID, a)
		}
	}
	// A second time there is nothing new, and with the old course all comes back.
	if code, stdout, _ := call(t, "", append(stricter, "class", "--again", "--keep")...); code != 0 || !strings.Contains(stdout, "3 attempts graded again") || len(attempts(t, file)) != 6 {
		t.Errorf("again: status %d\n%s", code, stdout)
	}
	if code, stdout, _ := call(t, "", append(records1, "class", "--again", "--keep")...); code != 1 || !strings.Contains(stdout, "went: FAST_APPROACH (2), FAST_RETRACT (2)") {
		t.Errorf("with the old course: status %d\n%s", code, stdout)
	}
	last := attempts(t, file)
	if a := last[len(last)-1]; len(last) != 9 || a.Regrades != 3 || a.Corrects != 6 {
		t.Errorf("the last of %d attempts: %+v", len(last), a)
	}
	// A lesson that is gone is said to be.
	gone := append([]string{"--course", "testdata/own"}, records1...)
	code, stdout, _ = call(t, "", append(gone, "class", "--again")...)
	flat := strings.Join(strings.Fields(stdout), " ")
	if code != 1 || !strings.Contains(flat, "9 Tom Ashdown, approach-the-crate: this course has no lesson") || !strings.Contains(flat, "3 could not be graded again") {
		t.Errorf("without the lesson: status %d\n%s", code, stdout)
	}
}

func attempts(t *testing.T, dsn string) []records.Attempt {
	t.Helper()
	store, err := records.Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	list, err := store.Attempts(t.Context(), records.AttemptFilter{}, records.Page{})
	if err != nil {
		t.Fatal(err)
	}
	if f, err := store.Verify(t.Context()); err != nil || len(f.Faults) > 0 {
		t.Errorf("Verify = %v, %v", f, err)
	}
	return list
}

// postgres returns the URL of an empty schema on the server for tests.
func postgres(t *testing.T) string {
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

// Workers of the queue give the sheet, the marks, the report and the records that
// grading in this process gives.
func TestClassThroughTheQueue(t *testing.T) {
	dsn, in := postgres(t), handIns(t)
	dir := t.TempDir()
	forms := func(name string) []string {
		return []string{"--json", filepath.Join(dir, name+".json"), "--html", filepath.Join(dir, name+".html")}
	}
	ctx, cancel := context.WithCancel(t.Context())
	var said strings.Builder
	var worker sync.WaitGroup
	worker.Go(func() {
		if code := run(ctx, []string{"--records", dsn, "worker"}, strings.NewReader(""), &said, &said); code != 0 {
			t.Errorf("the worker ends with status %d: %s", code, &said)
		}
	})
	grade := []string{"class", in, "-l", "approach-the-crate"}
	code, here, _ := call(t, "", append(grade, forms("here")...)...)
	code2, there, stderr := call(t, "", append(append([]string{"--records", dsn}, grade...), append(forms("there"), "--queue", "--keep")...)...)
	if code != 1 || code2 != 1 || here != there || stderr != "" {
		t.Errorf("statuses %d, %d, %s; here\n%s\nthrough the queue\n%s", code, code2, stderr, here, there)
	}
	for _, ext := range []string{".json", ".html"} {
		a, err := os.ReadFile(filepath.Join(dir, "here"+ext))
		b, err2 := os.ReadFile(filepath.Join(dir, "there"+ext))
		if err != nil || err2 != nil || string(a) != string(b) {
			t.Errorf("%s differs, or %v, %v", ext, err, err2)
		}
	}
	if list := attempts(t, dsn); len(list) != 3 {
		t.Errorf("attempts %v", list)
	}
	if code, stdout, _ := call(t, "", "--records", dsn, "class", "--again", "--queue"); code != 0 || !strings.Contains(stdout, "3 as before") {
		t.Errorf("again through the queue: status %d\n%s", code, stdout)
	}
	if _, stdout, _ := call(t, "", "--records", dsn, "records", "about", "Jo Fenwick"); !strings.Contains(stdout, "  in the queue     2\n") {
		t.Errorf("about Jo Fenwick:\n%s", stdout)
	}
	if code, _, stderr := call(t, "", "--records", dsn, "records", "forget", "Jo Fenwick", "--yes"); code != 0 {
		t.Errorf("forget: %s", stderr)
	}
	if n := len(attempts(t, dsn)); n != 2 {
		t.Errorf("%d attempts are left, want 2", n)
	}
	cancel()
	worker.Wait()
	if !strings.Contains(said.String(), "6 programs graded") {
		t.Errorf("the worker says %s", &said)
	}
}

// Without a worker the one who waits is told; interrupted, the programs stay in
// the queue.
func TestClassWithoutWorker(t *testing.T) {
	dsn := postgres(t)
	ctx, cancel := context.WithTimeout(t.Context(), 4*time.Second)
	defer cancel()
	var out, stderr strings.Builder
	code := run(ctx, []string{"--records", dsn, "class", handIns(t), "-l", "approach-the-crate", "--queue"}, strings.NewReader(""), &out, &stderr)
	if code != 2 || !strings.Contains(stderr.String(), "no worker with course ") || !strings.Contains(stderr.String(), "the programs stay in the queue") {
		t.Errorf("status %d, %s%s", code, &out, &stderr)
	}
}
