package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"posework/engine/diag"
	"posework/grader"
)

// Width is the number of columns that text is laid out for.
const Width = 80

// MostDiagnostics is how many diagnostics about a file are written out; what is
// beyond is counted.
const MostDiagnostics = 10

// Text writes a mark: the outcome, every check, every finding with its
// evidence.
func Text(w io.Writer, of Subject, m *grader.Mark) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: %s of 100 points, %s needed\n", strings.ToUpper(Verdict(m)), Points(m.Points), Points(m.Pass))
	fmt.Fprintln(b, Wrap(fmt.Sprintf("lesson %s, program %s, %s s of motion", of.Lesson, diag.Visible(of.Program), Number(m.Duration, "s")), "", Width))
	if len(of.Own) > 0 {
		fmt.Fprintln(b, Wrap("own cell: "+Owns(of.Own), "", Width))
	}
	if why := Because(m); why != "" {
		fmt.Fprintln(b, Wrap(why, "", Width))
	}
	fmt.Fprintln(b)
	checks(b, m)
	for i := range m.Findings {
		fmt.Fprintln(b)
		finding(b, &m.Findings[i])
	}
	return b.Flush()
}

// Owns lists own numbers of a cell: "rack.y = -143 mm, rack.yaw = 5 deg".
func Owns(own []Own) string {
	list := make([]string, len(own))
	for i, o := range own {
		list[i] = fmt.Sprintf("%s = %g %s", o.Key, o.Value, o.Unit)
	}
	return strings.Join(list, ", ")
}

// Because says in a sentence why a mark with enough points, or short of them,
// is not passed; "" for a passed one.
func Because(m *grader.Mark) string {
	if m.Passed {
		return ""
	}
	stops, missed := 0, 0
	for _, f := range m.Findings {
		if f.Severity == grader.Stop {
			stops++
		}
	}
	for _, r := range m.Checks {
		if r.Must && !r.Holds {
			missed++
		}
	}
	switch {
	case stops > 0:
		return diag.Count(stops, "finding", "findings") + " could hurt someone at a real arm, so the attempt is not passed whatever its points."
	case missed > 0:
		return diag.Count(missed, "check that must hold is", "checks that must hold are") + " missed, so the attempt is not passed whatever its points."
	case m.Points < m.Pass:
		return "The points are below what is needed."
	}
	return ""
}

// Holds is the word for whether a check holds.
func Holds(r *grader.Result) string {
	switch {
	case !r.Proved:
		return "unproved"
	case r.Holds:
		return "holds"
	}
	return "missed"
}

// checks writes a line a check: whether it holds, whether it must, its points,
// what it asks for, and what was measured.
func checks(w io.Writer, m *grader.Mark) {
	for i := range m.Checks {
		r := &m.Checks[i]
		must := ""
		if r.Must {
			must = "must"
		}
		head := fmt.Sprintf("  %-8s %-4s %7s  ", Holds(r), must, Points(r.Points)+"/"+Points(r.Of))
		fmt.Fprintln(w, head+strings.TrimLeft(Wrap(Asked(r), strings.Repeat(" ", len(head)), Width), " "))
	}
}

// Asked says what a check asks for and what was measured.
func Asked(r *grader.Result) string {
	text := r.Title
	if v := Measured(r.Measured); v != "" && r.Measured != (grader.Value{}) {
		text += "; measured " + v
		if r.Subject != "" {
			text += " (" + r.Subject + ")"
		}
	}
	return text
}

// Label is one fact of a finding with its name.
type Label struct{ Name, Text string }

// Labels are the facts of a finding in the order in which they are shown. Those
// that it does not have are left out.
func Labels(f *grader.Finding) []Label {
	var list []Label
	add := func(name, text string) {
		if text != "" {
			list = append(list, Label{name, text})
		}
	}
	if f.Step != "" || f.To > 0 {
		add("when", Span(f.From, f.To))
	}
	if f.Measured != (grader.Value{}) {
		add("measured", Measured(f.Measured))
	}
	if f.Limit != (grader.Value{}) {
		add("limit", Measured(f.Limit))
	}
	if f.HasPlace {
		add("place", Place(f.Place)+" (tool centre point, base frame)")
	}
	add("concerns", f.Subject)
	add("why", f.Why)
	add("try", f.Try)
	return list
}

// Where names the step of a finding: "step 4, pick.yaml:14:5", or "the whole
// program".
func Where(f *grader.Finding) string {
	where := "the whole program"
	if f.Step != "" {
		where = "step " + f.Step
	}
	if f.Pos.IsValid() {
		where += ", " + diag.Visible(f.Pos.String())
	}
	return where
}

func finding(w io.Writer, f *grader.Finding) {
	fmt.Fprintf(w, "%-6s  %s  %s\n", strings.ToUpper(Severity(f.Severity)), f.Code, Where(f))
	fmt.Fprintln(w, Wrap(f.Text, "  ", Width))
	for _, l := range Labels(f) {
		head := fmt.Sprintf("    %-9s ", l.Name)
		fmt.Fprintln(w, head+strings.TrimLeft(Wrap(l.Text, strings.Repeat(" ", len(head)), Width), " "))
	}
}

// Wrap breaks text between words so that each line with its indent fits a
// width. A word longer than a line stands alone.
func Wrap(text, indent string, width int) string {
	var lines []string
	line := ""
	room := max(1, width-ansi.StringWidth(indent))
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case ansi.StringWidth(line)+1+ansi.StringWidth(word) <= room:
			line += " " + word
		default:
			lines = append(lines, indent+line)
			line = word
		}
	}
	lines = append(lines, indent+line)
	return strings.Join(lines, "\n")
}

// Diagnostics writes what is wrong with a file, a line each with its fix below,
// at most [MostDiagnostics] of them.
func Diagnostics(w io.Writer, l diag.List) error {
	l.Sort()
	b := bufio.NewWriter(w)
	for i, d := range l {
		if i == MostDiagnostics {
			fmt.Fprintf(b, "and %d more\n", len(l)-i)
			break
		}
		Diagnostic(b, &d)
	}
	return b.Flush()
}

// Diagnostic writes one of them.
func Diagnostic(w io.Writer, d *diag.Diagnostic) {
	fmt.Fprintf(w, "%s: %s (%s)\n", diag.Visible(d.Pos.String()), diag.Visible(d.Text), d.Code)
	if d.Fix != "" {
		fmt.Fprintf(w, "    try: %s\n", diag.Visible(d.Fix))
	}
}
