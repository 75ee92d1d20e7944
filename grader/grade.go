package grader

import (
	"cmp"
	"slices"
	"strings"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/motion"
	"posework/engine/practice"
	"posework/engine/program"
	"posework/engine/sweep"
)

// Options are what grading may be told beyond task and program.
type Options struct {
	Log   *practice.Log // nil: none was handed in
	Work  int           // bound on the sweep's work on one question; 0: its default
	Total int           // bound on its work on all of them; 0: its default
}

// Grade reads, plans, sweeps and judges one program. A list that is not empty
// says why it could not be graded: the file is wrong, or asks for what no
// setting of the axes can do.
func Grade(c *cell.Cell, t *Task, file string, text []byte, o Options) (*Mark, diag.List) {
	x, l := Prepare(c, t, file, text, o)
	if len(l) > 0 {
		return nil, l
	}
	return Examine(x), nil
}

// Prepare reads and plans one program and makes its motion ready for [Examine]:
// for callers that also want to see the motion that was judged.
func Prepare(c *cell.Cell, t *Task, file string, text []byte, o Options) (*Exam, diag.List) {
	p, l := program.Read(file, text)
	if len(l) > 0 {
		return nil, l
	}
	tr, l := motion.Plan(c, p, motion.Options{Start: t.Start})
	if len(l) > 0 {
		return nil, l
	}
	return &Exam{
		Task: t, Cell: c, Program: p, Motion: tr, Sweep: sweep.New(tr, sweep.Options{Work: o.Work, Total: o.Total}),
		Digest: Digest(text), Log: o.Log,
	}, nil
}

// Examine runs every check of the task over a planned motion.
func Examine(x *Exam) *Mark {
	m := &Mark{Pass: x.Task.Pass, Duration: x.Motion.Duration}
	items := slices.Concat(x.Task.implied(), x.Task.Checks)
	var earned, total float64
	failed := x.Motion.Halt != nil
	said := map[findingKey]bool{}
	for _, it := range items {
		out := it.Check.Run(x)
		r := Result{
			Check: it.Kind.Name, Title: it.Check.Title(), Must: it.Must, Of: it.Points,
			Proved: !out.Unproved, Measured: out.Measured, Subject: out.Subject,
		}
		if out.Unproved {
			f := x.finding(it.Kind.Name, "NOT_PROVED", -1)
			f.Text = "the motion could not be fully examined for: " + it.Check.Title()
			out.Findings = append(out.Findings, f)
		}
		r.Holds = !slices.ContainsFunc(out.Findings, func(f Finding) bool { return f.Severity < Advice })
		if r.Holds {
			r.Points = it.Points
		}
		earned, total = earned+r.Points, total+r.Of
		failed = failed || it.Must && !r.Holds ||
			slices.ContainsFunc(out.Findings, func(f Finding) bool { return f.Severity == Stop })
		m.Checks = append(m.Checks, r)
		for _, f := range out.Findings {
			if k := f.key(); !said[k] {
				said[k] = true
				m.Findings = append(m.Findings, f)
			}
		}
	}
	if total > 0 {
		m.Points = 100 * earned / total
	}
	const rounding = 1e-9 // of a sum of points such as 0.1 + 1.3
	m.Passed = !failed && total > 0 && m.Points >= m.Pass-rounding
	slices.SortStableFunc(m.Findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Severity, b.Severity), cmp.Compare(a.From, b.From), strings.Compare(a.Code, b.Code), strings.Compare(a.Subject, b.Subject))
	})
	return m
}

// implied returns the checks that every attempt is held to although its task
// does not list them: reach, and in manual mode the reduced speed that the mode
// stands for.
func (t *Task) implied() (items []Item) {
	imply := func(name string, c Check) {
		if !slices.ContainsFunc(t.Checks, func(it Item) bool { return it.Kind.Name == name }) {
			k := slices.IndexFunc(kinds[:], func(k Kind) bool { return k.Name == name })
			items = append(items, Item{Check: c, Kind: &kinds[k], Must: true})
		}
	}
	imply("reach", reach{})
	if t.Mode == Manual {
		imply("top-speed", topSpeed{limit: reducedSpeed, manual: true})
	}
	return items
}

// findingKey tells whether another check found the same thing: a pose that is
// never visited is missed by its approach and by its way out.
type findingKey struct{ code, step, subject, text string }

func (f *Finding) key() findingKey { return findingKey{f.Code, f.Step, f.Subject, f.Text} }
