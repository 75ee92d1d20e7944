package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"posework/grader/report"
)

// call runs the program within the test and returns its exit status and outputs.
func call(t *testing.T, stdin string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	code = run(t.Context(), args, strings.NewReader(stdin), &out, &err)
	return code, out.String(), err.String()
}

const answers = "../../lessons/12-approach-the-crate/answers/"

func TestExitStatuses(t *testing.T) {
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	junk := filepath.Join(t.TempDir(), "junk.yaml")
	if err := os.WriteFile(junk, bytes.Repeat([]byte("x\x00"), 5<<20), 0o644); err != nil {
		t.Fatal(err)
	}
	deep := filepath.Join(t.TempDir(), "deep.yaml")
	if err := os.WriteFile(deep, []byte(strings.Repeat("[", 1000)), 0o644); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		args           []string
		stdin          string
		code           int
		stdout, stderr string // what must be among them; "" wants nothing
	}{
		{[]string{"grade", answers + "good-step-by-step.yaml", "-l", "approach-the-crate"}, "", 0, "PASSED: 100 of 100", ""},
		{[]string{"grade", answers + "flawed-fast-approach.yaml", "-l", "approach-the-crate"}, "", 1, "FAST_APPROACH", ""},
		{[]string{"grade", junk, "-l", "approach-the-crate"}, "", 2, "", "junk.yaml:1:1: "},
		{[]string{"grade", deep, "-l", "approach-the-crate"}, "", 2, "", "deep.yaml:1:"},
		{[]string{"grade", "none.yaml", "-l", "approach-the-crate"}, "", 2, "", "open none.yaml: "},
		{[]string{"grade", "none.yaml", "-l", "nowhere"}, "", 2, "", "there is no lesson"},
		{[]string{"grade", "none.yaml", "-l", "walk-round-the-cell"}, "", 2, "", "no program to grade"},
		{[]string{"grade"}, "", 2, "", "missing flags"},
		{[]string{"nothing"}, "", 2, "", "unexpected argument"},
		{[]string{"--help"}, "", 0, "Exit status", ""},
		{[]string{"lesson", "list"}, "", 0, "home-pose", ""},
		{[]string{"lesson", "show", "home-pose"}, "", 0, "## Caution", ""},
		{[]string{"lesson", "show", "home-poze"}, "", 2, "", `did you mean "home-pose"`},
		{[]string{"explain", "CLEARANCE_LOW"}, "", 0, "Why it matters", ""},
		{[]string{"explain", "formulas"}, "", 0, "curtain-distance: ", ""},
		{[]string{"explain", "NO_SUCH"}, "", 2, "", "there is no code"},
		{[]string{"arm", "show", "hazel"}, "", 0, "spherical wrist", ""},
		{[]string{"arm", "show", "willow"}, "", 2, "", "there is no arm"},
		{[]string{"arm", "forward", "hazel"}, "{}\n", 1, `"line":1`, ""},
		{[]string{"version"}, "", 0, "course ", ""},
		{[]string{"completion", "fish"}, "", 0, "complete -f -c posework", ""},
		{[]string{"--name", "Jo"}, "q\n", 0, "Learner: Jo", ""},
	}
	for _, test := range tests {
		code, stdout, stderr := call(t, test.stdin, test.args...)
		name := strings.Join(test.args, " ")
		if code != test.code {
			t.Errorf("posework %s: exit status %d, want %d\n%s%s", name, code, test.code, stdout, stderr)
		}
		for _, out := range []struct{ name, got, want string }{{"output", stdout, test.stdout}, {"error output", stderr, test.stderr}} {
			if !strings.Contains(out.got, out.want) || out.want == "" && out.got != "" {
				t.Errorf("posework %s: %s %q, want %q", name, out.name, out.got, out.want)
			}
		}
	}
}

// The JSON of a mark is read back by its own types, unknown names refused.
func TestGradeJSON(t *testing.T) {
	code, stdout, _ := call(t, "", "grade", answers+"flawed-fast-approach.yaml", "-l", "approach-the-crate", "--json")
	d := json.NewDecoder(strings.NewReader(stdout))
	d.DisallowUnknownFields()
	var mark report.Document
	if err := d.Decode(&mark); err != nil || code != 1 {
		t.Fatalf("status %d, %v", code, err)
	}
	if mark.Format != "mark/1" || !mark.Graded || mark.Passed || len(mark.Findings) == 0 || mark.Findings[0].Code != "FAST_APPROACH" || mark.Findings[0].Line == 0 {
		t.Errorf("mark %+v", mark)
	}
}

// Attempts are kept only when that is asked for, and the course shows them.
func TestGradeKeep(t *testing.T) {
	data := t.TempDir()
	t.Setenv("XDG_DATA_HOME", data)
	grade := []string{"grade", answers + "good-step-by-step.yaml", "-l", "approach-the-crate", "--name", "Jo"}
	call(t, "", grade...)
	if entries, err := os.ReadDir(data); err != nil || len(entries) > 0 {
		t.Errorf("without --keep: %v, %v", entries, err)
	}
	if code, _, stderr := call(t, "", append(grade, "--keep")...); code != 0 {
		t.Errorf("with --keep: %d, %s", code, stderr)
	}
	if _, stdout, _ := call(t, "q\n", "--name", "Jo"); !strings.Contains(stdout, "Approach the curing crate and come away, 45 minutes, started 100") {
		t.Errorf("the course shows:\n%s", stdout)
	}
}

// Two courses with a different file have different versions, the same files the
// same one.
func TestCourseVersion(t *testing.T) {
	_, first, _ := call(t, "", "version")
	_, second, _ := call(t, "", "version")
	dir := t.TempDir()
	lesson := "---\nposework: lesson/1\nid: a\ntitle: A\nmodule: M\nminutes: 5\nobjectives: [Know.]\ncautions: [Mind.]\nsources: [common practice]\n---\nText.\n"
	if err := os.WriteFile(filepath.Join(dir, "lesson.md"), []byte(lesson), 0o644); err != nil {
		t.Fatal(err)
	}
	_, own, _ := call(t, "", "version", "--course", dir)
	if first != second || own == first || !strings.Contains(own, ", 1 lesson\n") {
		t.Errorf("versions %q, %q, own %q", first, second, own)
	}
}
