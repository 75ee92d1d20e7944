package grader

import (
	"math"
	"slices"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/kin"
)

// letGo judges that a part that is let go does not fall.
func (c handles) letGo(x *Exam, part, step int, parts []motion.PartState, add addFinding) {
	if drop := x.dropOf(part, parts); drop <= c.dropped {
		return
	}
	name := x.Cell.Parts[part].Name
	f := add("PART_DROPPED", step, "%s is let go with nothing under it", name)
	f.Subject, f.Limit = name, exact(c.dropped, "mm")
	f.Place, f.HasPlace = x.inBase(parts[part].Pose.T), true
}

// lettingGo reports whether the part that is held when the program ends is about to
// be let go: the signals have become such that an event releases it, and the program
// was over before that took effect.
func (x *Exam) lettingGo() bool {
	scenes := x.Motion.Scenes
	end := &scenes[len(scenes)-1]
	for _, ev := range x.Cell.Events {
		due := func(s *motion.Scene) bool {
			return !slices.ContainsFunc(ev.When, func(w cell.SignalState) bool { return s.Signals[w.Signal] != w.On })
		}
		if ev.Let != end.Held || !due(end) {
			continue
		}
		for i := len(scenes) - 1; i >= 0 && scenes[i].Held == end.Held; i-- {
			if !due(&scenes[i]) {
				return true
			}
		}
	}
	return false
}

// ifLetGo returns the parts as they would lie if the one that is held at the end
// were let go.
func (x *Exam) ifLetGo(end *motion.Scene) []motion.PartState {
	var s motion.State
	x.Motion.At(x.Motion.Duration, &s)
	parts := slices.Clone(end.Parts)
	parts[end.Held].Pose = s.Frames[6].Mul(&parts[end.Held].Pose)
	return parts
}

// dropOf returns how far a part would fall that is let go among the others: the
// least distance straight down to a solid, the floor or another part, infinity
// when there is nothing below. A part at rest returns 0.
func (x *Exam) dropOf(part int, parts []motion.PartState) float64 {
	body := x.Cell.Parts[part].Shape
	var placed, other shape.Shape
	body.Move(&parts[part].Pose, &placed)
	drop := math.Inf(1)
	below := func(s *shape.Shape) { drop = math.Min(drop, fall(&placed, s)) }
	for i := range x.Cell.Solids {
		below(&x.Cell.Solids[i].Shape)
	}
	for i := range parts {
		if i != part {
			x.Cell.Parts[i].Shape.Move(&parts[i].Pose, &other)
			below(&other)
		}
	}
	if x.Cell.Floor.Exists {
		below(&shape.Shape{Kind: shape.HalfSpace, P: kin.Vec{Z: x.Cell.Floor.Z}, Rot: kin.Identity})
	}
	return drop
}

// fall returns how far a body can sink before it meets another: infinity when it
// passes beside it. It sinks by the distance between the two as long as there is
// one, which never oversteps.
func fall(body, other *shape.Shape) float64 {
	const enough = 1e4 // mm, deeper than any cell
	s, down := *body, 0.0
	for down < enough {
		var c shape.Contact
		shape.Between(&s, other, &c)
		if c.Distance <= restingMM {
			// Beside it, not on it: it slides past.
			if c.Normal.Z < steepest && c.Distance > -restingMM {
				return math.Inf(1)
			}
			return down
		}
		step := kin.Pose{R: kin.Identity, T: kin.Vec{Z: -c.Distance}}
		var next shape.Shape
		s.Move(&step, &next)
		s = next
		down += c.Distance
	}
	return math.Inf(1)
}

const (
	restingMM = 0.5 // a body so near another lies on it
	steepest  = 0.5 // cosine of the steepest face that holds a part
)
