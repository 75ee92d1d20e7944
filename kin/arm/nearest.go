package arm

import (
	"math"

	"posework/kin"
)

// Inverse returns the solver for the arm's chain.
func (m *Model) Inverse() *kin.Inverse { return m.Chain.Inverse() }

// Mounted returns the same arm standing elsewhere: base places its base frame.
func (m *Model) Mounted(base kin.Pose) *Model {
	n := *m
	n.Chain = m.Chain.WithBase(base)
	return &n
}

// Within reports whether q keeps every axis limit; if not, it names the axis
// (from 1) that is furthest outside, and by how much.
func (m *Model) Within(q *kin.Joints) (axis int, by float64, ok bool) {
	for i := range q {
		out := math.Max(m.Limits[i].Min-q[i], q[i]-m.Limits[i].Max)
		if out > by || math.IsNaN(out) {
			axis, by = i+1, out
		}
	}
	return axis, by, axis == 0
}

// copyTol is how far outside a limit a computed angle may lie and still count
// as on it, rad: a pose taught exactly at a limit must be found again. The
// angle is then set to the limit.
const copyTol = 1e-12

// Copies appends to out every configuration that differs from q by whole turns
// of revolute axes and lies within the limits. There may be none.
func (m *Model) Copies(q *kin.Joints, out []kin.Joints) []kin.Joints {
	var first, last [6]int
	for i := range q {
		if m.prismatic(i) {
			if q[i] < m.Limits[i].Min || q[i] > m.Limits[i].Max {
				return out
			}
			continue
		}
		first[i] = int(math.Ceil((m.Limits[i].Min - copyTol - q[i]) / (2 * math.Pi)))
		last[i] = int(math.Floor((m.Limits[i].Max + copyTol - q[i]) / (2 * math.Pi)))
		if first[i] > last[i] {
			return out
		}
	}
	turns := first
	for {
		c := *q
		for i := range c {
			c[i] = m.settle(i, q[i], turns[i])
		}
		out = append(out, c)
		i := 5
		for i >= 0 && turns[i] == last[i] {
			turns[i] = first[i]
			i--
		}
		if i < 0 {
			return out
		}
		turns[i]++
	}
}

// settle adds whole turns to an angle and pulls it onto a limit that it passes
// by no more than rounding.
func (m *Model) settle(i int, a float64, turns int) float64 {
	if turns != 0 {
		a += float64(turns) * 2 * math.Pi
	}
	switch l := m.Limits[i]; {
	case a < l.Min && a >= l.Min-copyTol:
		return l.Min
	case a > l.Max && a <= l.Max+copyTol:
		return l.Max
	}
	return a
}

func (m *Model) prismatic(i int) bool { return m.Chain.Prismatic(i) }

// Reason says why there is no solution.
type Reason uint8

// The reasons.
const (
	Found      Reason = iota
	OutOfReach        // no configuration at all reaches the pose
	OutOfLimit        // all that do lie outside an axis limit
	OtherSide         // none that do has the wanted configuration
)

// Miss says why [Model.Nearest] found no solution.
type Miss struct {
	Reason Reason
	By     float64 // mm out of reach, or rad (mm) outside the limit
	Axis   int     // the axis whose limit is passed, from 1
}

// OK reports whether a solution was found.
func (m Miss) OK() bool { return m.Reason == Found }

// Nearest returns the solution within the limits that is nearest to seed: with
// the least sum of squares of the axes' differences (rad; for a prismatic axis
// mm divided by the reach). want restricts it to one configuration; nil takes
// any. Where nothing is found the joints are the best there is: the closest
// approach, or the solution that passes its limits least.
func (m *Model) Nearest(worldFlange *kin.Pose, seed *kin.Joints, want *kin.Config) (kin.Joints, Miss) {
	var s kin.Solutions
	m.Inverse().Solve(worldFlange, seed, &s)
	if s.N == 0 {
		return *seed, Miss{Reason: OutOfReach, By: math.Inf(1)}
	}
	if s.Residual > 0 {
		return s.Q[0], Miss{Reason: OutOfReach, By: s.Residual}
	}
	best, bestDist := kin.Joints{}, math.Inf(1)
	over := Miss{Reason: OutOfLimit, By: math.Inf(1)}
	var overQ kin.Joints
	other := false
	for i := range s.N {
		if want != nil && !s.Is(i, *want) {
			other = true
			continue
		}
		q := m.nearestCopy(&s.Q[i], seed)
		axis, by, ok := m.Within(&q)
		if !ok {
			if by < over.By {
				over.By, over.Axis, overQ = by, axis, q
			}
			continue
		}
		if d := m.distance(&q, seed); d < bestDist {
			best, bestDist = q, d
		}
	}
	switch {
	case !math.IsInf(bestDist, 1):
		return best, Miss{}
	case over.Axis > 0:
		return overQ, over
	case other:
		return s.Q[0], Miss{Reason: OtherSide}
	}
	return *seed, Miss{Reason: OutOfReach, By: math.Inf(1)}
}

// nearestCopy chooses for every axis the whole turns that bring it within its
// limits and, among those, nearest to seed; outside the limits it takes the
// copy that passes them least.
func (m *Model) nearestCopy(q, seed *kin.Joints) kin.Joints {
	c := *q
	for i := range c {
		if m.prismatic(i) {
			continue
		}
		lo := int(math.Ceil((m.Limits[i].Min - copyTol - q[i]) / (2 * math.Pi)))
		hi := int(math.Floor((m.Limits[i].Max + copyTol - q[i]) / (2 * math.Pi)))
		if lo > hi {
			below, above := m.settle(i, q[i], hi), m.settle(i, q[i], lo)
			c[i] = below
			if above-m.Limits[i].Max < m.Limits[i].Min-below {
				c[i] = above
			}
			continue
		}
		n := int(math.Round((seed[i] - q[i]) / (2 * math.Pi)))
		c[i] = m.settle(i, q[i], min(max(n, lo), hi))
	}
	return c
}

func (m *Model) distance(a, b *kin.Joints) float64 {
	sum := 0.0
	for i := range a {
		d := a[i] - b[i]
		if m.prismatic(i) {
			d /= math.Max(m.Reach, 1)
		}
		sum += d * d
	}
	return sum
}
