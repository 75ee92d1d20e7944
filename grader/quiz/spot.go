package quiz

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"posework/engine/diag"
	"posework/engine/program"
	"posework/grader"
)

// Spotter judges the program of a Spot question: what the grader finds in it,
// or why it could not be graded.
type Spotter func(ctx context.Context, name string, program []byte) ([]grader.Finding, diag.List)

func (s *Sheet) drawSteps(ctx context.Context, spot Spotter) diag.List {
	q := s.Question
	if spot == nil {
		return diag.List{{Pos: q.Pos, Code: "Q014", Text: "nothing can mark this spot question: it has no cell and no task", Fix: "move it to a lesson with a task, or ask in another way"}}
	}
	name := q.ID + ".yaml"
	data := []byte(q.Program)
	p, l := program.Read(name, data)
	if len(l) > 0 {
		return l
	}
	s.addSteps("", p.Steps)
	for i := range p.Routines {
		s.addSteps(p.Routines[i].Name+" ", p.Routines[i].Steps)
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
// "7.2" inside a repeat, "retreat 1" inside a routine.
func (s *Sheet) addSteps(prefix string, steps []program.Step) {
	for i := range steps {
		label := prefix + strconv.Itoa(i+1)
		s.Options = append(s.Options, label)
		s.Lines = append(s.Lines, steps[i].Pos.Line)
		s.addSteps(label+".", steps[i].Steps)
	}
}
