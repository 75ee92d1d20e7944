package grader

import (
	"fmt"
	"slices"
	"strings"

	"posework/engine/motion"
	"posework/engine/sweep"
)

// reducedSpeed is the greatest speed in manual mode: ISO 10218-1, manual reduced
// speed, at the tool centre point and the flange (value read in secondary
// sources). This project applies it to every point of arm, tool and held part.
const reducedSpeed = 250 // mm/s

// topSpeed: the tool stays under the limit; in manual mode every point of arm,
// tool and held part does.
type topSpeed struct {
	limit  float64 // mm/s
	manual bool
}

func decodeTopSpeed(d *decoder) Check {
	c := topSpeed{manual: d.task.Mode == Manual}
	if c.manual {
		n := d.m.Get("at-most")
		c.limit = d.positive(n, (*sourceNode).MMS, reducedSpeed)
		if c.limit > reducedSpeed {
			n.Errorf("T010", "write 250 mm/s or less, or mode: automatic", "the limit is %g mm/s, but manual mode allows at most 250 mm/s (ISO 10218-1)", c.limit)
		}
		return c
	}
	c.limit = d.positive(d.m.Need("at-most"), (*sourceNode).MMS, 0)
	return c
}

func (c topSpeed) Title() string {
	if c.manual {
		return "no point faster than " + mms(c.limit) + " (manual mode)"
	}
	return "tool at most " + mms(c.limit)
}

func (c topSpeed) Run(x *Exam) Outcome {
	var out Outcome
	moving := x.spans(func(p *motion.Piece) bool { return p.Kind != motion.Rest })
	code, body := "OVERSPEED_CELL", "the tool"
	ask := x.Sweep.ToolSpeed
	if c.manual {
		code = "OVERSPEED_MANUAL"
		ask = func(s []sweep.Span) sweep.Extreme {
			e := x.Sweep.PointSpeed(s)
			body = e.Body.Name
			return e.Extreme
		}
	}
	e := x.perStep(moving, ask,
		func(e sweep.Extreme) bool { return e.Lo > c.limit },
		func(step int, e sweep.Extreme) {
			f := x.finding("top-speed", code, step)
			f.Measured, f.Limit = Value{e.Lo, e.Hi, "mm/s"}, exact(c.limit, "mm/s")
			f.Subject = body
			f.Pos = x.Motion.Steps[step].Source.SpeedPos
			f.Text = fmt.Sprintf("%s reaches %s, at most %s is allowed", body, mms(e.Lo), mms(c.limit))
			x.locate(&f, e.At)
			out.Findings = append(out.Findings, f)
		})
	out.greatest(e, Value{e.Lo, e.Hi, "mm/s"})
	return out
}

// speedNear: the tool is under a limit wherever it, or the part in it, is within
// a distance of a solid or of a part that lies there.
type speedNear struct {
	things        []sweep.Body
	within, limit float64 // mm, mm/s
}

func decodeSpeedNear(d *decoder) Check {
	c := speedNear{within: d.needMM("within"), limit: d.positive(d.m.Need("at-most"), (*sourceNode).MMS, 0)}
	var all []sweep.Body
	for i, s := range d.cell.Solids {
		all = append(all, sweep.Body{Kind: sweep.Solid, Index: i, Name: s.Name})
	}
	for i, p := range d.cell.Parts {
		all = append(all, sweep.Body{Kind: sweep.Part, Index: i, Name: p.Name})
	}
	for _, n := range names(d.m.Need("solid")) {
		if i := oneOf(n, "solids or parts", all, func(b sweep.Body) string { return b.Name }); i >= 0 {
			c.things = append(c.things, all[i])
		}
	}
	return c
}

func (c speedNear) Title() string {
	return fmt.Sprintf("tool at most %s within %s of %s", mms(c.limit), mm(c.within), strings.Join(c.names(), ", "))
}

func (c *speedNear) names() (list []string) {
	for _, t := range c.things {
		list = append(list, t.Name)
	}
	return list
}

// about reports whether a body is one of those that the check names.
func (c *speedNear) about(b sweep.Body) bool {
	return slices.ContainsFunc(c.things, func(t sweep.Body) bool { return t.Kind == b.Kind && t.Index == b.Index })
}

func (c speedNear) Run(x *Exam) Outcome {
	var out Outcome
	moving := x.spans(func(p *motion.Piece) bool { return p.Kind != motion.Rest })
	for _, thing := range c.things {
		e := x.perStep(moving,
			func(s []sweep.Span) sweep.Extreme { return x.Sweep.SpeedNear(s, thing, c.within) },
			func(e sweep.Extreme) bool { return e.Lo > c.limit },
			func(step int, e sweep.Extreme) {
				f := x.finding("speed-near", "FAST_NEAR_FIXTURE", step)
				f.Measured, f.Limit = Value{e.Lo, e.Hi, "mm/s"}, exact(c.limit, "mm/s")
				f.Subject = thing.Name
				f.Pos = x.Motion.Steps[step].Source.SpeedPos
				f.Text = fmt.Sprintf("the tool moves at %s within %s of %s, at most %s is allowed there", mms(e.Lo), mm(c.within), thing.Name, mms(c.limit))
				x.locate(&f, e.At)
				out.Findings = append(out.Findings, f)
			})
		out.greatest(e, Value{e.Lo, e.Hi, "mm/s"})
	}
	return out
}
