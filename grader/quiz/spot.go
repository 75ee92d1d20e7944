package quiz

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"posework/engine/diag"
	"posework/engine/source"
	"posework/grader"
)

// Spotter judges the program of a Spot question: what the grader finds in it,
// or why it could not be graded.
type Spotter func(ctx context.Context, name string, program []byte) ([]grader.Finding, diag.List)

func (s *Sheet) drawSteps(ctx context.Context, spot Spotter) diag.List {
	q := s.Question
	name := q.ID + ".yaml"
	data := []byte(q.Program)
	var l diag.List
	m := source.Parse(name, data, 1, &l).Map()
	s.addSteps("", m.Get("steps"))
	for _, routine := range m.Get("routines").Map().Names() {
		s.addSteps(routine.Key+" ", routine.Value)
	}
	if len(l) > 0 {
		return l
	}
	findings, l := spot(ctx, name, data)
	if len(l) > 0 {
		return l
	}
	notes := make([][]string, len(s.Options))
	for _, f := range findings {
		if f.Severity == grader.Advice || len(q.Checks) > 0 && !slices.Contains(q.Checks, f.Check) {
			continue
		}
		// A step of a repeat or a routine may be found more than once.
		if i := slices.Index(s.Lines, f.Pos.Line); i >= 0 && !slices.Contains(notes[i], f.Text) {
			notes[i] = append(notes[i], f.Text)
		}
	}
	for i, found := range notes {
		if len(found) > 0 {
			s.right = append(s.right, i)
			s.notes = append(s.notes, strings.Join(found, "; "))
		}
	}
	if len(s.right) == 0 {
		l.Add(q.ProgramPos, "Q013", "make a step unsafe, or name in \"checks\" what is to be found", "the grader finds nothing at any step of this program")
	}
	return l
}

// addSteps lists steps in the order of the file, as a person counts them: "4",
// "7.2" inside a repeat, "retreat 1" inside a routine. Only the places matter
// here; whether the program is sound is for the spotter to say.
func (s *Sheet) addSteps(prefix string, steps *source.Node) {
	for i, step := range steps.List() {
		label := prefix + strconv.Itoa(i+1)
		s.Options = append(s.Options, label)
		s.Lines = append(s.Lines, step.Pos().Line)
		if m := step.Map(); m.Has("repeat") {
			s.addSteps(label+".", m.Get("steps"))
		}
	}
}
