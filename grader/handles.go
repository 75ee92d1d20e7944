package grader

import (
	"fmt"
	"math"
	"sort"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/program"
	"posework/kin"
)

// handles: a part is taken, held and released in order: at rest, signal set,
// signal confirmed, then moved.
type handles struct {
	part            int // index into Cell.Parts
	signal, confirm string
	rest            float64 // s
	lay             *kin.Pose
	within, angle   float64 // mm, rad
	dropped         float64 // mm: off by more than this is a drop
}

func decodeHandles(d *decoder) Check {
	c := handles{dropped: 20, rest: 0.1}
	part := d.m.Need("part")
	c.part = oneOf(part, "parts", d.cell.Parts, func(p cell.Part) string { return p.Name })
	take := d.m.Need("take").Map()
	signal := func(n *sourceNode) string {
		if i := oneOf(n, "signals", d.cell.Signals, func(s cell.Signal) string { return s.Name }); i >= 0 {
			return d.cell.Signals[i].Name
		}
		return ""
	}
	c.signal, c.confirm = signal(take.Need("signal")), signal(take.Need("confirm"))
	take.Close()
	c.rest = d.positive(d.m.Get("rest"), (*sourceNode).Seconds, c.rest)
	if n := d.m.Get("lay"); n != nil {
		m := n.Map()
		c.lay = new(d.place(m.Need("at")))
		c.within = d.positive(m.Get("within"), (*sourceNode).MM, 1.5)
		c.angle = d.positive(m.Get("angle"), (*sourceNode).Deg, kin.Rad(1))
		m.Close()
	}
	if c.part < 0 {
		return nil
	}
	return c
}

func (c handles) Title() string {
	if c.lay != nil {
		return "the part is taken, confirmed, carried and laid at rest"
	}
	return "the part is taken and confirmed at rest"
}

func (c handles) Run(x *Exam) Outcome {
	var out Outcome
	name := x.Cell.Parts[c.part].Name
	add := func(code string, step int, format string, args ...any) *Finding {
		f := x.finding("handles", code, step)
		f.Subject = name
		f.Text = fmt.Sprintf(format, args...)
		out.Findings = append(out.Findings, f)
		return &out.Findings[len(out.Findings)-1]
	}
	for i := range x.Motion.Steps {
		s := &x.Motion.Steps[i]
		if s.Source.Kind == program.Wait && s.Source.AtMost == 0 {
			add("WAIT_WITHOUT_LIMIT", i, "the wait for %s has no time limit", s.Source.Signals[0].Name)
		}
		if s.Source.Kind == program.Set {
			for _, set := range s.Source.Signals {
				if set.Name == c.signal {
					c.switched(x, i, set.On, add)
				}
			}
		}
	}
	c.whereabouts(x, add, &out)
	return out
}

type addFinding func(code string, step int, format string, args ...any) *Finding

// switched judges the switching of the gripper at an executed step.
func (c handles) switched(x *Exam, i int, on bool, add addFinding) {
	if on {
		if next := x.nextMove(i); next >= 0 && !x.waitsFor(i, next, c.confirm, true) {
			add("LIFT_BEFORE_CONFIRM", next, "the arm moves on without waiting for %s", c.confirm)
		}
	}
	if !on {
		if x.heldBefore(i) < 0 {
			return // an output put into a known state while nothing hangs in the gripper
		}
		if next := x.nextMove(i); next >= 0 && !x.waitsFor(i, next, c.confirm, false) {
			add("LEFT_BEFORE_RELEASE", next, "the arm moves on without waiting until %s is off", c.confirm)
		}
	}
	if before := x.lastMove(i); before >= 0 && x.Motion.Steps[before].Source.FlyBy > 0 {
		add("GRIP_ON_THE_FLY", i, "%s is switched at pose %s, which is a fly-by point", c.signal, x.Motion.Steps[before].Source.To.Name)
		return
	}
	at := x.Motion.Steps[i].Start
	if still := x.standsUntil(i) - at; still < c.rest-timeSlack {
		f := add("GRIP_ON_THE_FLY", i, "the arm moves on %.3g s after %s is switched", still, c.signal)
		f.Measured, f.Limit = exact(still, "s"), exact(c.rest, "s")
	}
}

// waitsFor reports whether a step between two waits for a signal.
func (x *Exam) waitsFor(from, to int, signal string, on bool) bool {
	for _, s := range x.Motion.Steps[from+1 : to] {
		if s.Source.Kind == program.Wait && s.Source.Signals[0].Name == signal && s.Source.Signals[0].On == on {
			return true
		}
	}
	return false
}

// heldBefore returns the part that is held when a step begins, or -1.
func (x *Exam) heldBefore(step int) int {
	return x.sceneBefore(step).Held
}

// lastMove returns the last executed move before step, or -1.
func (x *Exam) lastMove(step int) int {
	for i := step - 1; i >= 0; i-- {
		if x.Motion.Steps[i].Source.Kind == program.Move {
			return i
		}
	}
	return -1
}

// standsUntil returns when the arm first moves after step; infinity when it
// never does.
func (x *Exam) standsUntil(step int) float64 {
	for i := x.Motion.Steps[step].First; i < len(x.Motion.Pieces); i++ {
		if p := &x.Motion.Pieces[i]; p.Kind != motion.Rest && p.End > p.Start {
			return p.Start
		}
	}
	return math.Inf(1)
}

// whereabouts judges where parts go: the one that is asked for is taken at all
// and laid where it should be, and none is let go in the air.
func (c handles) whereabouts(x *Exam, add addFinding, out *Outcome) {
	taken, released := -1, -1 // steps
	scenes := x.Motion.Scenes
	for i := 1; i < len(scenes); i++ {
		had, has := scenes[i-1].Held, scenes[i].Held
		if had == has {
			continue
		}
		if has == c.part {
			taken = x.stepOf(i)
		}
		if had == c.part {
			released = x.stepOf(i)
		}
		if had >= 0 {
			c.letGo(x, had, x.stepOf(i), scenes[i].Parts, add)
		}
	}
	end := &scenes[len(scenes)-1]
	if end.Held >= 0 && x.lettingGo() {
		c.letGo(x, end.Held, len(x.Motion.Steps)-1, x.ifLetGo(end), add)
	}
	switch {
	case taken < 0:
		add("PART_NOT_TAKEN", -1, "%s is never held", x.Cell.Parts[c.part].Name)
		return
	case c.lay == nil:
		return
	case end.Held == c.part:
		add("PART_NOT_LAID", -1, "%s is still held when the program ends", x.Cell.Parts[c.part].Name)
		return
	}
	last := end.Parts[c.part].Pose
	distance, angle := apart(&last, c.lay)
	out.Measured = exact(distance, "mm")
	code := ""
	switch {
	case distance > c.dropped:
		code = "PART_DROPPED"
	case distance > c.within+lengthSlack || angle > c.angle+angleSlack:
		code = "PLACE_OFF"
	default:
		return
	}
	f := add(code, released, "%s is let go %s and %s from its place", x.Cell.Parts[c.part].Name, mm(distance), deg(angle))
	f.Measured, f.Limit = exact(distance, "mm"), exact(c.within, "mm")
	if distance <= c.within+lengthSlack {
		f.Measured, f.Limit = degrees(angle, angle), degrees(c.angle, c.angle)
	}
	f.Place, f.HasPlace = x.inBase(last.T), true
}

// stepOf returns the executed step in which a scene began.
func (x *Exam) stepOf(scene int) int {
	steps := x.Motion.Steps
	return min(sort.Search(len(steps), func(i int) bool { return steps[i].Scene >= scene }), len(steps)-1)
}
