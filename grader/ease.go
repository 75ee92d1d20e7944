package grader

import (
	"math"

	"posework/engine/sweep"
)

// Ease is what a motion takes and leaves over. Of a good answer it tells how
// difficult its task is: authors hold it even from learner to learner.
type Ease struct {
	Time float64 // s
	// Clearance is the least distance, mm, of arm, tool and held part from
	// solids, loose parts and floor, but for those that the task lets them come
	// closer to. NaN: the task asks for no clearance, or nothing is near.
	Clearance float64
	// Wrist is the least angle, rad, of axis 5 from alignment on lines and arcs.
	// NaN: there are none, or the arm's wrist has no alignment.
	Wrist float64
}

// Ease measures the motion.
func (x *Exam) Ease() Ease {
	e := Ease{Time: x.Motion.Duration, Clearance: math.NaN(), Wrist: math.NaN()}
	for _, it := range x.Task.Checks {
		if c, ok := it.Check.(clearance); ok {
			e.Clearance = x.leastDistance(c)
		}
	}
	if room := x.Sweep.SingularityRoom(x.spans(x.straightened), sweep.Wrist); !room.None {
		e.Wrist = room.Hi
	}
	return e
}

// leastDistance is the least distance that a clearance check has no exception
// for. It looks ever farther until it finds one: near things are measured
// quickly, and far ones hardly ever count.
func (x *Exam) leastDistance(c clearance) float64 {
	need := c.need(x)
	all := x.spans(nil)
	const nearest, farthest = 20, 1300 // mm beyond what is asked
	for beyond := float64(nearest); beyond < farthest; beyond *= 4 {
		found := math.Inf(1)
		pairs := x.Sweep.Clearance(all, func(a, b sweep.Body) float64 {
			if b.Kind <= sweep.Held || need(a, b) < c.least {
				return math.Inf(-1)
			}
			return c.least + beyond
		})
		for _, p := range pairs {
			if !p.None {
				found = math.Min(found, p.Hi)
			}
		}
		if found < c.least+beyond {
			return found
		}
	}
	return math.NaN()
}
