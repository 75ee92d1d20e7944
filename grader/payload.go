package grader

import (
	"fmt"
	"math"

	"posework/engine/program"
	"posework/kin"
)

// payload: the control is told what hangs on the flange, before the first move
// and again whenever the tool has taken a part or let it go. What is right for
// the loaded tool follows from where the part really hangs.
type payload struct {
	tool   program.Payload // of the empty tool
	mass   float64         // kg that the told mass may be off
	within float64         // mm that each coordinate of the centre may be off
}

func decodePayload(d *decoder) Check {
	c := payload{mass: d.positive(d.m.Get("mass"), (*sourceNode).Kilograms, 0.05), within: d.mm("within", 2)}
	tool := d.m.Need("tool").Map()
	c.tool.Mass = d.positive(tool.Need("mass"), (*sourceNode).Kilograms, 0)
	c.tool.At = tool.Need("at").Vec()
	tool.Close()
	return c
}

func (c payload) Title() string { return "the payload is told, and told again when it changes" }

func (c payload) Run(x *Exam) Outcome {
	var out Outcome
	add := func(code string, step int, measured, limit Value, format string, args ...any) {
		f := x.finding("payload", code, step)
		f.Measured, f.Limit = measured, limit
		f.Text = fmt.Sprintf(format, args...)
		out.once(f)
	}
	told := -1 // the executed step that told it last
	for i := range x.Motion.Steps {
		s := &x.Motion.Steps[i]
		if s.Source.Kind == program.SetPayload {
			told = i
		}
		if s.Source.Kind != program.Move {
			continue
		}
		if told < 0 {
			add("PAYLOAD_ZERO", i, Value{}, Value{}, "the arm moves before the control is told any payload")
			return out
		}
		held := x.heldBefore(i)
		is, want := &x.Motion.Steps[told].Source.Load, c.with(x, i, held)
		if c.near(is, &want) {
			continue
		}
		what := "the empty tool"
		if held >= 0 {
			what = "the tool with " + x.Cell.Parts[held].Name
		}
		mass, away := c.off(is, &want)
		switch {
		case held >= 0 && c.near(is, &c.tool), held < 0 && x.wasLoaded(told, i):
			add("PAYLOAD_NOT_SWITCHED", i, Value{}, Value{}, "the arm moves %s with the payload that was told before the change", what)
		case is.Mass == 0:
			add("PAYLOAD_ZERO", told, exact(0, "kg"), exact(want.Mass, "kg"), "a payload of 0 kg is told for %s, which weighs %.4g kg", what, want.Mass)
		case mass > c.mass+payloadSlack:
			add("PAYLOAD_MASS", told, exact(mass, "kg"), exact(c.mass, "kg"), "a payload of %.4g kg is told for %s, which weighs %.4g kg; at most %.4g kg off is allowed", is.Mass, what, want.Mass, c.mass)
		default:
			add("PAYLOAD_COG", told, exact(away, "mm"), exact(c.within, "mm"), "the centre of gravity of %s is told as (%s, %s, %s), but lies at (%s, %s, %s), %s off; at most %s is allowed along each axis", what,
				number(is.At.X), number(is.At.Y), number(is.At.Z), number(want.At.X), number(want.At.Y), number(want.At.Z), mm(away), mm(c.within))
		}
	}
	return out
}

// with returns the payload of the tool and a part that it holds when a step
// begins; -1: none. A part is as heavy everywhere, so that its centre of gravity
// is the middle of its shape.
func (c payload) with(x *Exam, step, part int) program.Payload {
	if part < 0 {
		return c.tool
	}
	body := &x.Cell.Parts[part]
	middle, _ := body.Shape.Bounds()
	flangePart := x.sceneBefore(step).Parts[part].Pose // while it is held
	at := flangePart.Apply(middle)
	sum := c.tool.Mass + body.Mass
	return program.Payload{Mass: sum, At: mean(c.tool.At, c.tool.Mass, at, body.Mass)}
}

// mean returns the common centre of gravity of two masses.
func mean(a kin.Vec, ma float64, b kin.Vec, mb float64) kin.Vec {
	return a.Scale(ma/(ma+mb)).AddScaled(mb/(ma+mb), b)
}

// payloadSlack covers the rounding of sums: what is exactly at a limit keeps it.
const payloadSlack = 1e-9 // kg, mm

func (c payload) near(is, want *program.Payload) bool {
	mass, away := c.off(is, want)
	return mass <= c.mass+payloadSlack && away <= c.within+payloadSlack
}

// off returns by how much a told payload differs from the true one: kg, and mm
// along the axis of the flange on which the centres lie farthest apart.
func (payload) off(is, want *program.Payload) (mass, away float64) {
	d := is.At.Sub(want.At)
	return math.Abs(is.Mass - want.Mass), max(math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z))
}

// wasLoaded reports whether a part was held at a step and has been let go before
// a later one.
func (x *Exam) wasLoaded(from, to int) bool {
	for i := from; i < to; i++ {
		if x.heldBefore(i) >= 0 {
			return true
		}
	}
	return false
}

var payloadCodes = []CodeDoc{
	{
		Code: "PAYLOAD_ZERO", Title: "no payload told", Check: "payload", Severity: Fail,
		Meaning: "The arm moves before the program has told the control what hangs on the flange, or the program has told it that nothing does.",
		Why:     "The control then brakes, watches and protects its axes for a bare flange, or for whatever the last job has left there.",
		Try:     "tell the payload of the empty tool in the first step",
		Unsafe:  "steps:\n  - {to: home, path: joint, speed: 20 %, end: stop}",
		Safe:    "steps:\n  - {payload: {mass: 1.4 kg, at: [10, 0, 55]}}\n  - {to: home, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "PAYLOAD_MASS", Title: "wrong mass", Check: "payload", Severity: Fail,
		Meaning: "The mass that was told differs from that of the tool, with the part in it where one is held.",
		Why:     "Told too little, each kilogram looks like an obstacle and braking takes longer; told too much, a real obstacle looks like nothing.",
		Try:     "add the masses of tool and part",
		Unsafe:  "- {payload: {mass: 0.6 kg, at: [0, 25, 140]}}   # the slab alone",
		Safe:    "- {payload: {mass: 2 kg, at: [7, 7.5, 80.5]}}   # gripper and slab",
	},
	{
		Code: "PAYLOAD_COG", Title: "wrong centre of gravity", Check: "payload", Severity: Fail,
		Meaning: "The centre of gravity that was told differs from the true one by more than the task allows.",
		Why:     "The load pulls at another arm's length than the control reckons with: axes are overloaded, and a collision is noticed late.",
		Try:     "take the mean of both centres, each counted by its mass",
		Unsafe:  "- {payload: {mass: 2 kg, at: [5, 12.5, 97.5]}}   # the plain mean of the two",
		Safe:    "- {payload: {mass: 2 kg, at: [7, 7.5, 80.5]}}    # the mean by mass",
	},
	{
		Code: "PAYLOAD_NOT_SWITCHED", Title: "payload not switched", Check: "payload", Severity: Fail,
		Meaning: "The tool has taken a part or let it go, and the arm moves on with the payload of before.",
		Why:     "From the moment that the part changes hands the old numbers are wrong, in the very move that lifts it.",
		Try:     "tell the payload right after the confirmation, before the next move",
		Unsafe:  "- {wait: {part-held: on, at-most: 1 s}}\n- {to: over, path: line, speed: 60 mm/s, end: stop}",
		Safe:    "- {wait: {part-held: on, at-most: 1 s}}\n- {payload: {mass: 2 kg, at: [7, 7.5, 80.5]}}\n- {to: over, path: line, speed: 60 mm/s, end: stop}",
	},
}
