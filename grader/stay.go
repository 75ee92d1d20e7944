package grader

import (
	"posework/engine/program"
	"posework/kin"
)

// stay is a time that the tool spends at a work pose: one move or several, each
// of which ends near the pose, and none of which leaves it on the way. Whoever
// sets a part down on the last millimetres by a move of its own, or peels it off
// by one, has come and gone once.
type stay struct {
	// Of the executed moves that end nearest the pose the first and the last, as
	// indices into Motion.Steps, or atStart.
	came, left int
	nearest    float64 // mm
}

// atStart stands for the step that has brought the arm to where it starts.
const atStart = -1

// tip returns where the tool centre point is at the end of an executed move, or
// atStart with the tool of the first move.
func (x *Exam) tip(step int) kin.Pose {
	if step == atStart {
		return x.toolAt(&x.Motion.Start, x.Motion.Steps[x.nextMove(atStart)].Tool)
	}
	return x.Motion.Steps[step].Target
}

// stays lists the times that the tool is at the work pose.
func (s *stretch) stays(x *Exam) (all []stay) {
	before := atStart
	here := false // before is at the pose
	visit := func(step int, still bool) {
		tip := x.tip(step)
		distance, _ := apart(&tip, &s.at)
		still = still && here
		if here = distance <= s.near+lengthSlack; !here {
			return
		}
		if !still {
			all = append(all, stay{step, step, distance})
			return
		}
		switch last := &all[len(all)-1]; {
		case distance < last.nearest-lengthSlack:
			last.nearest, last.left = distance, step
			if last.came != atStart {
				last.came = step
			}
		case distance <= last.nearest+lengthSlack:
			last.left = step
		}
	}
	moves := x.arrivals()
	if len(moves) > 0 && x.Task.Start != nil {
		visit(atStart, false)
	}
	for _, i := range moves {
		visit(i, s.holds(x, before, i))
		before = i
	}
	return all
}

// holds reports whether a move from one place near the pose to another keeps the
// tool near it and does not turn it: a line does, and what else leads from one to
// the other may go anywhere between.
func (s *stretch) holds(x *Exam, before, step int) bool {
	m := &x.Motion.Steps[step]
	if before != atStart && x.Motion.Steps[before].Tool != m.Tool {
		return false
	}
	from := x.tip(before)
	_, turned := apart(&from, &m.Target)
	return turned <= s.angle+angleSlack && (m.First == m.Last || m.Source.Path == program.Line)
}
