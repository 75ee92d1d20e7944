package grader_test

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/grader"
)

const marksDir = "testdata/marks"

var update = flag.Bool("update", false, "rewrite testdata/marks; read the difference like code")

// grade grades a program, and holds its mark against the one that is on file.
func grade(t *testing.T, c *cell.Cell, k *grader.Task, file, text string, o grader.Options) *grader.Mark {
	t.Helper()
	m, l := grader.Grade(c, k, file, []byte(text), o)
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	marked(t, m)
	return m
}

// raises compares the codes of a mark's findings with those that it must raise,
// all of them and no others: sorted, with blanks between.
func raises(t *testing.T, m *grader.Mark, want string) {
	t.Helper()
	if got := strings.Join(codes(m), " "); got != want {
		t.Errorf("findings %q, want %q\n%s", got, want, inFull(m))
	}
}

// marked takes note of a mark: of the codes that it raises, and of all else that
// it says, which must be what testdata/marks holds for the test. There each
// number, step, place and word of each finding stands, and what every check that
// holds has measured: a verdict may be right for a wrong reason.
func marked(t *testing.T, m *grader.Mark) {
	t.Helper()
	for _, f := range m.Findings {
		if f.Text == "" || f.Why == "" || f.Try == "" || f.Pos.Filename == "" {
			t.Errorf("finding %s leaves a learner without words: %+v", f.Code, f)
		}
		raised[f.Code] = true
	}
	onFile(t, inFull(m))
}

// onFile holds a text against the one that testdata/marks has for the test.
func onFile(t *testing.T, got string) {
	t.Helper()
	test, subtest, _ := strings.Cut(t.Name(), "/")
	b := open(t, test)
	name := b.next(subtest)
	if *update {
		b.texts[name] = got
		return
	}
	if want := b.texts[name]; got != want {
		t.Errorf("not what stands in %s; if it is right, run with -update\n--- got\n%s--- want\n%s", b.file, got, want)
	}
}

// inFull writes down a mark, with numbers to a thousandth: not every machine
// rounds alike.
func inFull(m *grader.Mark) string {
	var b strings.Builder
	verdict := "fails"
	if m.Passed {
		verdict = "passes"
	}
	fmt.Fprintf(&b, "%s, %s of %s points, %s s\n", verdict, rounded(m.Points), rounded(m.Pass), rounded(m.Duration))
	for _, c := range m.Checks {
		state := "holds"
		switch {
		case !c.Proved:
			state = "is not proved"
		case !c.Holds:
			state = "is missed"
		}
		fmt.Fprintf(&b, "  %s: %q %s, %s of %s", c.Check, c.Title, state, rounded(c.Points), rounded(c.Of))
		if c.Must {
			fmt.Fprint(&b, ", a must")
		}
		fmt.Fprintf(&b, "; %s", interval(c.Measured))
		if c.Subject != "" {
			fmt.Fprintf(&b, " at %s", c.Subject)
		}
		fmt.Fprintln(&b)
	}
	for _, f := range m.Findings {
		fmt.Fprintf(&b, "  %s of %s, step %q, line %d:%d, %s to %s s: %s; %s, limit %s", f.Code, f.Check, f.Step, f.Pos.Line, f.Pos.Column, rounded(f.From), rounded(f.To), f.Text, interval(f.Measured), interval(f.Limit))
		if f.HasPlace {
			fmt.Fprintf(&b, ", at (%s, %s, %s)", rounded(f.Place.X), rounded(f.Place.Y), rounded(f.Place.Z))
		}
		if f.Subject != "" {
			fmt.Fprintf(&b, ", %s", f.Subject)
		}
		fmt.Fprintln(&b)
	}
	return b.String()
}

func interval(v grader.Value) string {
	s := rounded(v.Lo)
	if hi := rounded(v.Hi); hi != s {
		s += " to " + hi
	}
	return strings.TrimSpace(s + " " + v.Unit)
}

func rounded(v float64) string {
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", v), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// book is one file of testdata/marks: the texts of one test, each below a line
// "# NAME".
type book struct {
	file  string
	texts map[string]string
	met   map[string]int // how many texts each subtest has shown
}

// books are those of the tests that have run.
var books = map[string]*book{}

// open returns the book of a test. With -update it begins empty.
func open(t *testing.T, test string) *book {
	t.Helper()
	if b, ok := books[test]; ok {
		return b
	}
	b := &book{file: filepath.Join(marksDir, test+".txt"), texts: map[string]string{}, met: map[string]int{}}
	books[test] = b
	if *update {
		return b
	}
	text, err := os.ReadFile(b.file)
	if err != nil {
		t.Fatal(err)
	}
	for section := range strings.SplitSeq("\n"+strings.TrimSuffix(string(text), "\n"), "\n# ") {
		if name, text, ok := strings.Cut(section, "\n"); ok {
			b.texts[name] = text + "\n"
		}
	}
	return b
}

// next names the next text of a subtest: by the subtest, and by a number where it
// has several.
func (b *book) next(subtest string) string {
	b.met[subtest]++
	if n := b.met[subtest]; n > 1 || subtest == "" {
		return strings.TrimSpace(fmt.Sprintf("%s %d", subtest, n))
	}
	return subtest
}

func (b *book) write() error {
	var text bytes.Buffer
	for _, name := range slices.Sorted(maps.Keys(b.texts)) {
		fmt.Fprintf(&text, "# %s\n%s", name, b.texts[name])
	}
	return os.WriteFile(b.file, text.Bytes(), 0o644)
}

// closeBooks writes the books with -update, and otherwise returns the files with
// texts that no test has shown.
func closeBooks() (stale []string, err error) {
	files, err := filepath.Glob(filepath.Join(marksDir, "*.txt"))
	if err != nil {
		return nil, err
	}
	for _, file := range files {
		if _, ok := books[strings.TrimSuffix(filepath.Base(file), ".txt")]; !ok {
			stale = append(stale, file)
		}
	}
	for _, b := range books {
		if *update {
			if err := b.write(); err != nil {
				return nil, err
			}
			continue
		}
		shown := 0
		for _, n := range b.met {
			shown += n
		}
		if shown != len(b.texts) {
			stale = append(stale, b.file)
		}
	}
	return stale, nil
}
