package class

import (
	"bufio"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"posework/cmd/posework/internal/marking"
	"posework/engine/diag"
	"posework/grader/records"
	"posework/grader/records/sheet"
	"posework/grader/report"
)

// Mark is what an attempt was worth with one version of the course.
type Mark struct {
	Course  string          `json:"course"`
	Verdict records.Verdict `json:"verdict"`
	Points  float64         `json:"points"`
}

// Change is a recorded attempt whose mark is another one now, or whose findings
// are, or that could not be graded again.
type Change struct {
	Attempt int64          `json:"attempt"`
	Learner string         `json:"learner"`
	Lesson  string         `json:"lesson"`
	Before  Mark           `json:"before"`
	Now     Mark           `json:"now"`
	Come    []report.Found `json:"come"` // findings, or errors about the file
	Gone    []report.Found `json:"gone"`
	Trouble string         `json:"trouble,omitempty"` // why it could not be graded again
}

// Compare compares a recorded attempt with its result now. It reports whether
// anything changed.
func Compare(a *records.Attempt, r *marking.Result) (Change, bool, error) {
	c := Change{
		Attempt: a.ID, Learner: a.Person, Lesson: a.Lesson, Trouble: r.Trouble,
		Before: Mark{a.Course, a.Verdict, a.Points}, Come: []report.Found{}, Gone: []report.Found{},
	}
	if r.Trouble != "" {
		return c, true, nil
	}
	now, err := r.Record()
	if err != nil {
		return c, false, err
	}
	c.Now = Mark{now.Course, now.Verdict, now.Points}
	before, err := codes(a.Findings)
	if err != nil {
		return c, false, fmt.Errorf("attempt %d: its findings can't be read: %w", a.ID, err)
	}
	after, err := codes(now.Findings)
	if err != nil {
		return c, false, err
	}
	c.Come, c.Gone = less(after, before), less(before, after)
	// A mark is written with six decimals.
	same := a.Verdict == now.Verdict && math.Abs(a.Points-now.Points) < 1e-6 && len(c.Come)+len(c.Gone) == 0
	return c, !same, nil
}

// codes counts the codes in an attempt's findings, sorted by code.
func codes(findings json.RawMessage) ([]report.Found, error) {
	var list []struct {
		Code string `json:"code"`
	}
	if err := json.Unmarshal(findings, &list); err != nil {
		return nil, err
	}
	out := []report.Found{}
	for _, f := range list {
		out = report.AddFound(out, f.Code)
	}
	slices.SortFunc(out, func(a, b report.Found) int { return strings.Compare(a.Code, b.Code) })
	return out, nil
}

// less is what a has more than b.
func less(a, b []report.Found) []report.Found {
	out := []report.Found{}
	for _, c := range a {
		for _, d := range b {
			if d.Code == c.Code {
				c.Times -= d.Times
			}
		}
		if c.Times > 0 {
			out = append(out, c)
		}
	}
	return out
}

// Why says in words what made the difference.
func (c *Change) Why() string {
	var parts []string
	for _, list := range []struct {
		word   string
		counts []report.Found
	}{{"came", c.Come}, {"went", c.Gone}} {
		var words []string
		for _, k := range list.counts {
			if k.Times > 1 {
				words = append(words, fmt.Sprintf("%s (%d)", k.Code, k.Times))
			} else {
				words = append(words, k.Code)
			}
		}
		if len(words) > 0 {
			parts = append(parts, list.word+": "+strings.Join(words, ", "))
		}
	}
	if len(parts) == 0 {
		return "the same findings; what they cost, or what is needed, changed"
	}
	return strings.Join(parts, "; ")
}

// Again is what came of grading recorded attempts again.
type Again struct {
	Course   string   `json:"course"`
	Attempts int      `json:"attempts"` // that were graded again
	Changes  []Change `json:"changes"`
	Kept     int      `json:"kept"` // new marks that were recorded
}

// Changed is how many attempts have another mark or other findings.
func (g *Again) Changed() int {
	n := 0
	for i := range g.Changes {
		if g.Changes[i].Trouble == "" {
			n++
		}
	}
	return n
}

// Text writes what changed for a terminal.
func (g *Again) Text(w io.Writer) error {
	b := bufio.NewWriter(w)
	changed := g.Changed()
	failed := len(g.Changes) - changed
	text := fmt.Sprintf("%s graded again with course %s: %d as before, %d changed", diag.Count(g.Attempts, "attempt", "attempts"), g.Course, g.Attempts-len(g.Changes), changed)
	if failed > 0 {
		text += fmt.Sprintf(", %d could not be graded again", failed)
	}
	fmt.Fprintln(b, report.Wrap(text, "", report.Width))
	for i := range g.Changes {
		c := &g.Changes[i]
		head := fmt.Sprintf("%d  %s, %s: ", c.Attempt, Shown(c.Learner), c.Lesson)
		if c.Trouble != "" {
			fmt.Fprintf(b, "\n%s\n", report.Wrap(head+Shown(c.Trouble), "", report.Width))
			continue
		}
		fmt.Fprintf(b, "\n%s\n%s\n", report.Wrap(head+c.Before.words()+", now "+c.Now.words(), "", report.Width),
			report.Wrap("course "+cmp.Or(c.Before.Course, "unknown")+" before; "+c.Why(), "    ", report.Width))
	}
	g.tallies(b)
	if g.Kept > 0 {
		fmt.Fprintf(b, "\n%s kept as corrections; the old ones stay on record.\n", diag.Count(g.Kept, "new mark", "new marks"))
	}
	return b.Flush()
}

func (m *Mark) words() string {
	if m.Verdict == records.Ungraded {
		return "not gradable"
	}
	return report.Points(m.Points) + " " + string(m.Verdict)
}

// tallies writes how many attempts each finding came to or went from.
func (g *Again) tallies(w io.Writer) {
	type tally struct {
		code       string
		come, gone int
	}
	var list []tally
	at := func(code string) *tally {
		i := slices.IndexFunc(list, func(t tally) bool { return t.code == code })
		if i < 0 {
			i = len(list)
			list = append(list, tally{code: code})
		}
		return &list[i]
	}
	for i := range g.Changes {
		for _, k := range g.Changes[i].Come {
			at(k.Code).come++
		}
		for _, k := range g.Changes[i].Gone {
			at(k.Code).gone++
		}
	}
	if len(list) == 0 {
		return
	}
	slices.SortFunc(list, func(a, b tally) int {
		return cmp.Or(cmp.Compare(b.come+b.gone, a.come+a.gone), strings.Compare(a.code, b.code))
	})
	fmt.Fprintln(w, "\nFindings, by the attempts that they came to and went from:")
	fmt.Fprintf(w, "  %5s  %5s\n", "came", "went")
	for _, t := range list {
		fmt.Fprintf(w, "  %5d  %5d  %s\n", t.come, t.gone, t.code)
	}
}

// JSON writes what changed for other programs.
func (g *Again) JSON(w io.Writer) error {
	e := json.NewEncoder(diag.Escaped(w))
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(struct {
		Format string `json:"posework"`
		*Again
	}{"again/1", g})
}

// CSV writes a row an attempt that changed.
func (g *Again) CSV(w io.Writer) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"attempt", "name", "lesson", "course before", "verdict before", "points before", "verdict now", "points now", "why"})
	for i := range g.Changes {
		c := &g.Changes[i]
		row := []string{strconv.FormatInt(c.Attempt, 10), sheet.Plain(c.Learner), sheet.Plain(c.Lesson), sheet.Plain(c.Before.Course),
			string(c.Before.Verdict), report.Points(c.Before.Points), string(c.Now.Verdict), report.Points(c.Now.Points), sheet.Plain(c.Why())}
		if c.Trouble != "" {
			row[6], row[7], row[8] = "", "", sheet.Plain(Shown(c.Trouble))
		}
		_ = out.Write(row)
	}
	out.Flush()
	return out.Error() // of any of the writes
}
