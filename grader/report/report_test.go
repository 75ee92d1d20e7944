package report

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"posework/engine/diag"
	"posework/grader"
	"posework/kin"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares got with testdata/name.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs:\n%s\nwant:\n%s", name, got, want)
	}
}

func tooFast() *grader.Mark {
	return &grader.Mark{
		Points: 80, Pass: 80, Duration: 21.4567,
		Checks: []grader.Result{
			{Check: "reach", Title: "every target has a solution inside the axis limits, and every path stays solvable on one configuration", Holds: true, Proved: true, Must: true, Points: 0, Of: 0},
			{Check: "clearance", Title: "clearance at least 20 mm", Holds: true, Proved: true, Must: true, Points: 20, Of: 20, Measured: grader.Value{Lo: 24.31, Hi: 24.35, Unit: "mm"}, Subject: "link 4 and post, at least 20 mm asked"},
			{Check: "approach", Title: "the last 50 mm to grip at most 100 mm/s", Holds: false, Proved: true, Must: true, Points: 0, Of: 15, Measured: grader.Value{Lo: 239.98, Hi: 240.01, Unit: "mm/s"}},
			{Check: "singularity-room", Title: "axis 5 at least 10 deg from alignment", Holds: false, Proved: false, Of: 10, Measured: grader.Value{Lo: math.Inf(-1), Hi: math.Inf(1), Unit: "deg"}},
		},
		Findings: []grader.Finding{{
			Code: "FAST_APPROACH", Check: "approach", Severity: grader.Fail, Step: "3",
			Pos:  diag.Pos{Filename: "too-fast.yaml", Line: 14, Column: 5},
			From: 3.2, To: 3.456, Measured: grader.Value{Lo: 239.98, Hi: 240.01, Unit: "mm/s"}, Limit: grader.Value{Lo: 100, Hi: 100, Unit: "mm/s"},
			Place: kin.Vec{X: 420, Y: 230, Z: -0.00001}, HasPlace: true, Subject: "pose grip",
			Text: "the last 50 mm to grip are driven at 240 mm/s, but the limit there is 100 mm/s",
			Why:  "Close to the part a wrong height becomes a collision before anyone can let go of the enabling device.",
			Try:  "write 80 mm/s for this step",
		}, {
			Code: "NEAR_AXIS_LIMIT", Check: "axis-room", Severity: grader.Advice, Text: "axis 2 comes within 6 deg of its limit",
		}},
	}
}

func about(program string) Subject {
	return Subject{Lesson: "approach-the-crate", Program: program, Seed: 1<<63 + 1, Own: []Own{{"chute.x", 512, "mm"}, {"chute.yaw", -7.5, "deg"}}}
}

func TestText(t *testing.T) {
	var b strings.Builder
	if err := Text(&b, about("too-fast.yaml"), tooFast()); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if len(line) > Width || strings.TrimRight(line, " ") != line {
			t.Errorf("line is wider than %d or ends in blanks: %q", Width, line)
		}
	}
	golden(t, "too-fast.txt", b.String())
}

func TestJSON(t *testing.T) {
	var b strings.Builder
	if err := JSON(&b, New(about("too-fast.yaml"), tooFast(), nil)); err != nil {
		t.Fatal(err)
	}
	golden(t, "too-fast.json", b.String())
	var back map[string]any
	if err := json.Unmarshal([]byte(b.String()), &back); err != nil {
		t.Fatal(err)
	}
}

func TestJSONOfWhatCouldNotBeGraded(t *testing.T) {
	var l diag.List
	l.Add(diag.Pos{Filename: "b.yaml", Line: 2, Column: 1}, "F012", "did you mean \"title\"?", "unknown key %q", "titel")
	l.Add(diag.Pos{Filename: "b.yaml", Line: 1, Column: 1}, "F022", "", "wrong format")
	var b strings.Builder
	if err := JSON(&b, New(Subject{Lesson: "home-pose", Program: "b.yaml"}, nil, l)); err != nil {
		t.Fatal(err)
	}
	golden(t, "errors.json", b.String())
}

func TestBecause(t *testing.T) {
	stop := grader.Finding{Severity: grader.Stop}
	tests := []struct {
		mark grader.Mark
		want string
	}{
		{grader.Mark{Passed: true}, ""},
		{grader.Mark{Points: 100, Pass: 80, Findings: []grader.Finding{stop, stop}}, "2 findings could hurt someone"},
		{grader.Mark{Points: 90, Pass: 80, Checks: []grader.Result{{Must: true}}}, "1 check that must hold is missed"},
		{grader.Mark{Points: 79.96, Pass: 80}, "below what is needed"},
	}
	for _, test := range tests {
		if got := Because(&test.mark); !strings.Contains(got, test.want) || (test.want == "") != (got == "") {
			t.Errorf("Because(%+v) = %q, want %q", test.mark, got, test.want)
		}
	}
}

func TestMeasured(t *testing.T) {
	tests := []struct {
		in   grader.Value
		want string
	}{
		{grader.Value{Lo: 240, Hi: 240, Unit: "mm/s"}, "240 mm/s"},
		{grader.Value{Lo: 239.98, Hi: 240.01, Unit: "mm/s"}, "240 mm/s"},
		{grader.Value{Lo: 12.311, Hi: 12.354, Unit: "mm"}, "12.31 to 12.35 mm"},
		{grader.Value{Lo: -0.001, Hi: 0.001, Unit: "mm"}, "0 mm"},
		{grader.Value{Lo: 50.2, Hi: 370, Unit: "mm"}, "at least 50.2 mm"},
		{grader.Value{Lo: 3, Hi: 3}, "3"},
		{grader.Value{Lo: math.NaN(), Hi: 3, Unit: "mm"}, ""},
		{grader.Value{Lo: 3, Hi: math.Inf(1), Unit: "mm"}, ""},
	}
	for _, test := range tests {
		if got := Measured(test.in); got != test.want {
			t.Errorf("Measured(%v) = %q, want %q", test.in, got, test.want)
		}
	}
}

// A mark just short of the pass mark is not shown as the pass mark.
func TestPointsNeverRoundUp(t *testing.T) {
	for in, want := range map[float64]string{79.96: "79.9", 80: "80", 99.999: "99.9", 100: "100", 66.6666: "66.6", 0: "0", 100 * 0.7: "70"} {
		if got := Points(in); got != want {
			t.Errorf("Points(%v) = %q, want %q", in, got, want)
		}
	}
}

func TestDiagnosticsAreCapped(t *testing.T) {
	var l diag.List
	for i := range 17 {
		l.Add(diag.Pos{Filename: "a.yaml", Line: 17 - i, Column: 1}, "F012", "delete it", "unknown key")
	}
	var b strings.Builder
	if err := Diagnostics(&b, l); err != nil {
		t.Fatal(err)
	}
	got := b.String()
	if !strings.HasPrefix(got, "a.yaml:1:1: unknown key (F012)\n    try: delete it\n") || !strings.HasSuffix(got, "and 7 more\n") || strings.Count(got, "unknown") != 10 {
		t.Errorf("Diagnostics of 17:\n%s", got)
	}
}

func TestWrap(t *testing.T) {
	tests := []struct {
		text, indent string
		width        int
		want         string
	}{
		{"one two three", "", 8, "one two\nthree"},
		{"one two three", "  ", 8, "  one\n  two\n  three"},
		{"incomprehensible", "", 4, "incomprehensible"},
		{"", "", 4, ""},
		{"größer als", "", 6, "größer\nals"},
	}
	for _, test := range tests {
		if got := Wrap(test.text, test.indent, test.width); got != test.want {
			t.Errorf("Wrap(%q, %q, %d) = %q, want %q", test.text, test.indent, test.width, got, test.want)
		}
	}
}
