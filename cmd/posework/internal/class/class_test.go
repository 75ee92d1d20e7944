package class

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"posework/cmd/posework/internal/marking"
	"posework/engine/diag"
	"posework/grader"
	"posework/grader/records"
	"posework/grader/report"
)

func people(names ...string) []records.Person {
	var list []records.Person
	for _, n := range names {
		list = append(list, records.Person{Name: n})
	}
	return list
}

func TestNames(t *testing.T) {
	n := NewNames(people("Jo Fenwick", "Björn Åkesson", "Ann-Marie O'Neil", "Al B", "Al.B", "Mara Lind", "李 小龙"))
	for in, want := range map[string]string{
		"jo_fenwick": "Jo Fenwick", "JO FENWICK": "Jo Fenwick", "Jo.Fenwick": "Jo Fenwick", "Fenwick Jo": "Fenwick Jo", "jofenwick": "jofenwick",
		"bjo\u0308rn-a\u030akesson": "Björn Åkesson", "ann marie o neil": "Ann-Marie O'Neil", "李_小龙": "李 小龙",
		"al b": "Al B", "al.b": "Al.B", "al_b": "al_b", // whose it is can't be told
		"Tom": "Tom", "TOM": "Tom", "": "", "\x1b": "\x1b",
	} {
		if strings.EqualFold(in, "tom") {
			continue // below, in order
		}
		if got := n.Of(in); got != want {
			t.Errorf("Of(%q) = %q, want %q", in, got, want)
		}
	}
	if a, b := n.Of("Tom"), n.Of("TOM"); a != "Tom" || b != "Tom" {
		t.Errorf("two spellings off the roster: %q, %q", a, b)
	}
	if !n.Known("Jo Fenwick") || n.Known("jo_fenwick") || n.Known("Tom") {
		t.Error("Known tells wrongly who is on the roster")
	}
	var absent []string
	for _, p := range n.Absent() {
		absent = append(absent, p.Name)
	}
	if !reflect.DeepEqual(absent, []string{"Mara Lind"}) {
		t.Errorf("Absent = %q", absent)
	}
	if got := NewNames([]records.Person{{Name: "Abel", Role: records.Instructor}}).Absent(); got != nil {
		t.Errorf("an instructor is absent: %v", got)
	}
}

func TestFolder(t *testing.T) {
	dir := t.TempDir()
	write := func(name string) {
		t.Helper()
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range []string{"jo_fenwick.yaml", "jo_fenwick.log.yaml", "Jo Fenwick/second.YML", "Jo Fenwick/old/first.yaml", "Jo Fenwick/read.me",
		"tom.yaml", "zed.txt", ".git/config", "Jo Fenwick/.DS_Store", "__MACOSX/jo.yaml", "mara.log.yaml"} {
		write(f)
	}
	f, err := Open(dir, NewNames(people("Jo Fenwick")))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want := []Program{
		{"", "zed.txt", "", "no program by its name; give it one that ends in .yaml"},
		{"Jo Fenwick", "Jo Fenwick/old/first.yaml", "", ""},
		{"Jo Fenwick", "Jo Fenwick/read.me", "", "no program by its name; give it one that ends in .yaml"},
		{"Jo Fenwick", "Jo Fenwick/second.YML", "", ""},
		{"Jo Fenwick", "jo_fenwick.yaml", "jo_fenwick.log.yaml", ""},
		{"mara", "mara.log.yaml", "", "a practice log, but its program does not lie beside it"},
		{"tom", "tom.yaml", "", ""},
	}
	if !reflect.DeepEqual(f.Programs, want) {
		t.Errorf("programs\n%q\nwant\n%q", f.Programs, want)
	}
	if f.Hidden != 3 {
		t.Errorf("%d hidden, want 3", f.Hidden)
	}
	if text, trouble := f.Read(want[1]); string(text) != want[1].File || trouble != "" {
		t.Errorf("Read = %q, %q", text, trouble)
	}
	if text, trouble := f.Read(want[2]); text != nil || trouble != want[2].Trouble {
		t.Errorf("Read of what is no program = %q, %q", text, trouble)
	}
	if log, trouble := f.ReadLog(want[4]); log != nil || !strings.HasPrefix(trouble, "its practice log has a mistake: jo_fenwick.log.yaml:1:1: ") {
		t.Errorf("ReadLog = %v, %q", log, trouble)
	}
	if log, trouble := f.ReadLog(want[1]); log != nil || trouble != "" {
		t.Errorf("ReadLog of none = %v, %q", log, trouble)
	}
	// What was exchanged after it was listed is not followed out of the folder.
	if err := os.Remove(filepath.Join(dir, "tom.yaml")); err != nil {
		t.Fatal(err)
	}
	if _, trouble := f.Read(want[6]); !strings.HasPrefix(trouble, "the file can't be read: ") {
		t.Errorf("a file that is gone: %q", trouble)
	}
	if err := os.Symlink("/", filepath.Join(dir, "tom.yaml")); err == nil {
		if text, trouble := f.Read(want[6]); text != nil || trouble != "the file can't be read: it is no file any more" {
			t.Errorf("a file that became a link: %q, %q", text, trouble)
		}
	}
	if _, err := Open(filepath.Join(dir, "nowhere"), NewNames(nil)); err == nil || !strings.Contains(err.Error(), "open the folder: ") {
		t.Errorf("a folder that is not there: %v", err)
	}
}

// result is a graded program with findings of these codes.
func result(learner, file string, points float64, codes ...string) *marking.Result {
	r := &marking.Result{Job: marking.Job{Learner: learner, File: file, Lesson: "a", Course: "v1"}, Mark: &grader.Mark{Points: points, Pass: 80, Passed: points >= 80}}
	for _, c := range codes {
		r.Mark.Findings = append(r.Mark.Findings, grader.Finding{Code: c, Severity: grader.Fail})
	}
	return r
}

func TestSheet(t *testing.T) {
	n := NewNames(people("Ines Calloway", "Tom Ashdown", "Mara Lind"))
	s := NewSheet("a", "v1", n)
	n.Of("Ines Calloway")
	n.Of("Tom Ashdown")
	broken := result("\x1b[2JEve", "eve.yaml", 0)
	broken.Mark = nil
	broken.Errors = diag.List{{Pos: diag.Pos{Filename: "eve.yaml", Line: 3, Column: 4}, Text: "is \x1b[31mwrong"}, {Text: "more"}}
	stray := result("", "notes.txt", 0)
	stray.Mark, stray.Trouble = nil, "no program"
	hidden := *result("Tom Ashdown", "tom/late.yaml", 0)
	hidden.Mark, hidden.Trouble = nil, "a link"
	for i, step := range []struct {
		r    *marking.Result
		best bool
	}{
		{stray, false}, {broken, true},
		{result("Ines Calloway", "i/1.yaml", 100), true}, {result("Ines Calloway", "i/2.yaml", 90, "NEAR_AXIS_LIMIT"), false}, {result("Ines Calloway", "i/3.yaml", 100), true},
		{result("Tom Ashdown", "tom/a.yaml", 40, "CONTACT", "CONTACT", "FAST_APPROACH"), true}, {&hidden, false}, {result("Tom Ashdown", "tom/z.yaml", 39), false},
		{result("Zed", "zed.yaml", 79.96, "CONTACT"), true},
	} {
		if got := s.Add(step.r); got != step.best {
			t.Errorf("program %d is the best: %v, want %v", i, got, step.best)
		}
	}
	s.Close()
	want := []report.Tally{{Code: "CONTACT", Learners: []int{2, 3}, Times: 3}, {Code: "FAST_APPROACH", Learners: []int{2}, Times: 1}}
	for i := range want {
		want[i].Doc, _ = grader.Lookup(want[i].Code)
	}
	if !reflect.DeepEqual(s.Findings, want) {
		t.Errorf("findings %+v, want %+v", s.Findings, want)
	}
	var b strings.Builder
	if err := s.Text(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, line := range strings.Split(text, "\n") {
		if ansi.StringWidth(line) > report.Width || strings.Contains(line, "\x1b") {
			t.Errorf("line %q is too wide, or moves the cursor", line)
		}
	}
	for _, want := range []string{
		"a: 4 learners, 1 passed, 2 not passed, 1 without a program that could be graded,\n1 absent\ncourse v1, 9 files\n",
		"* \ufffd[2JEve          -  no             -  3:4: is \ufffd[31mwrong, and 1 more error\n",
		"Ines Calloway    100  yes            0  (best of 3: i/3.yaml)\n",
		"Tom Ashdown       40  no             3  CONTACT (best of 3: tom/a.yaml)\n",
		"* Zed           79.9  no             1  CONTACT\n* not on the roster\n",
		"     2  CONTACT        ", "(3 times)\n", "  tom/late.yaml: a link\n", "  eve.yaml:3:4: is ", "\nAbsent:\n  Mara Lind\n",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	c := s.Export()
	if len(c.Marks) != 5 || !c.Marks[4].Absent || c.Marks[0].Name != "\ufffd[2JEve" || len(c.Ungraded) != 3 {
		t.Errorf("Export = %+v", c)
	}
}

func TestJSON(t *testing.T) {
	s := NewSheet("a", "v1", NewNames(nil))
	var marks bytes.Buffer
	for _, r := range []*marking.Result{result("Ines Calloway", "i.yaml", 200.0/3), result("Tom", "t.yaml", 100)} {
		s.Add(r)
		line, err := MarkLine(r.Document())
		if err != nil {
			t.Fatal(err)
		}
		marks.Write(line)
	}
	s.Close()
	var b bytes.Buffer
	if err := s.JSON(&b, &marks); err != nil {
		t.Fatal(err)
	}
	var out struct {
		Format   string `json:"posework"`
		Learners []struct {
			Learner string
			Points  float64
			Mark    report.Document
		}
	}
	if err := json.Unmarshal(b.Bytes(), &out); err != nil {
		t.Fatalf("%v in\n%s", err, &b)
	}
	if out.Format != "class/1" || len(out.Learners) != 2 || out.Learners[0].Points != out.Learners[0].Mark.Points || out.Learners[1].Mark.Program != "t.yaml" {
		t.Errorf("JSON reads as %+v", out)
	}
}

func TestCompare(t *testing.T) {
	old := &records.Attempt{ID: 7, Person: "Ines Calloway", Lesson: "a", Course: "v0", Verdict: records.NotPassed, Points: 66.666667,
		Findings: json.RawMessage(`[{"code":"CONTACT"},{"code":"CONTACT"},{"code":"FAST_APPROACH"}]`)}
	for i, test := range []struct {
		r       *marking.Result
		changed bool
		why     string
	}{
		{result("", "", 200.0/3, "CONTACT", "FAST_APPROACH", "CONTACT"), false, ""},
		{result("", "", 70, "CONTACT", "FAST_APPROACH", "CONTACT"), true, "the same findings; what they cost, or what is needed, changed"},
		{result("", "", 200.0/3, "CONTACT", "NEAR_AXIS_LIMIT"), true, "came: NEAR_AXIS_LIMIT; went: CONTACT, FAST_APPROACH"},
		{result("", "", 100), true, "went: CONTACT (2), FAST_APPROACH"},
	} {
		c, changed, err := Compare(old, test.r)
		if err != nil || changed != test.changed || changed && c.Why() != test.why {
			t.Errorf("%d: %v, %q, %v", i, changed, c.Why(), err)
		}
	}
	lost := result("", "", 0)
	lost.Mark, lost.Trouble = nil, "this course has no lesson"
	if c, changed, err := Compare(old, lost); !changed || err != nil || c.Trouble != lost.Trouble {
		t.Errorf("what can't be graded: %+v, %v, %v", c, changed, err)
	}
	old.Findings = json.RawMessage("7")
	if _, _, err := Compare(old, result("", "", 1)); err == nil || !strings.Contains(err.Error(), "attempt 7: its findings can't be read") {
		t.Errorf("findings that are none: %v", err)
	}
}

// A name that a spreadsheet would run as a formula stays a text.
func TestAgainCSV(t *testing.T) {
	g := Again{Changes: []Change{{Attempt: 1, Learner: "=1+1", Lesson: "a", Before: Mark{"v0", records.Passed, 100}, Now: Mark{"v1", records.NotPassed, 79.96}}, {Attempt: 2, Learner: "Tom", Trouble: "gone"}}}
	var b strings.Builder
	if err := g.CSV(&b); err != nil {
		t.Fatal(err)
	}
	want := "1,'=1+1,a,v0,passed,100,not passed,79.9,\"the same findings; what they cost, or what is needed, changed\"\n2,Tom,,,,0,,,gone\n"
	if _, rows, _ := strings.Cut(b.String(), "\n"); rows != want {
		t.Errorf("CSV\n%s\nwant\n%s", fmt.Sprint(rows), want)
	}
}
