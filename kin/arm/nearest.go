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

// turns returns the least and greatest number of whole turns that may be added to
// q[i] within the limits: none when least > greatest. Where a limit is infinite it
// is taken as one turn away.
func (m *Model) turns(i int, a float64) (least, greatest int) {
	if m.Chain.Prismatic(i) {
		return 0, 0
	}
	l := m.Limits[i]
	lo := math.Max(l.Min, a-2*math.Pi)
	hi := math.Min(l.Max, a+2*math.Pi)
	if !math.IsInf(l.Min, 0) {
		lo = l.Min
	}
	if !math.IsInf(l.Max, 0) {
		hi = l.Max
	}
	return int(math.Ceil((lo - copyTol - a) / (2 * math.Pi))), int(math.Floor((hi + copyTol - a) / (2 * math.Pi)))
}

// Copies appends to out every configuration that differs from q by whole turns
// of revolute axes and lies within the limits. There may be none.
func (m *Model) Copies(q *kin.Joints, out []kin.Joints) []kin.Joints {
	var first, last [6]int
	for i := range q {
		first[i], last[i] = m.turns(i, q[i])
		if first[i] > last[i] || m.Chain.Prismatic(i) && (q[i] < m.Limits[i].Min || q[i] > m.Limits[i].Max) {
			return out
		}
	}
	now := first
	for {
		c := *q
		for i := range c {
			c[i] = m.settle(i, q[i], now[i])
		}
		out = append(out, c)
		i := 5
		for i >= 0 && now[i] == last[i] {
			now[i] = first[i]
			i--
		}
		if i < 0 {
			return out
		}
		now[i]++
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
	m.Chain.Inverse().Solve(worldFlange, seed, &s)
	best, miss := m.choose(&s, seed, want)
	if !s.Singular || miss.Reason != OutOfLimit {
		return best, miss
	}
	// The members of a continuous family next to the seed pass a limit; others,
	// nearer to the middle of the ranges, may not.
	for part := 0.25; part <= 1; part += 0.25 {
		inward := *seed
		for i, l := range m.Limits {
			if mid := (l.Min + l.Max) / 2; !math.IsInf(mid, 0) && !math.IsNaN(mid) {
				inward[i] += part * (mid - seed[i])
			}
		}
		m.Chain.Inverse().Solve(worldFlange, &inward, &s)
		if q, m := m.choose(&s, seed, want); m.OK() {
			return q, m
		}
	}
	return best, miss
}

// choose picks the nearest of the solutions.
func (m *Model) choose(s *kin.Solutions, seed *kin.Joints, want *kin.Config) (kin.Joints, Miss) {
	if s.Residual > 0 {
		return s.Q[0], Miss{Reason: OutOfReach, By: s.Residual}
	}
	best, least := s.Q[0], math.Inf(1)
	over := Miss{Reason: OtherSide, By: math.Inf(1)}
	for i := range s.N {
		if want != nil && !s.Is(i, *want) {
			continue
		}
		q := m.nearestCopy(&s.Q[i], seed)
		if axis, by, ok := m.Within(&q); !ok {
			if by < over.By && math.IsInf(least, 1) {
				best, over = q, Miss{OutOfLimit, by, axis}
			}
		} else if d := m.distance(&q, seed); d < least {
			best, least = q, d
		}
	}
	switch {
	case !math.IsInf(least, 1):
		return best, Miss{}
	case over.Reason == OtherSide:
		return best, Miss{Reason: OtherSide}
	}
	return best, over
}

// nearestCopy chooses for every axis the whole turns that bring it within its
// limits and, among those, nearest to seed; outside the limits it takes the
// copy that passes them least.
func (m *Model) nearestCopy(q, seed *kin.Joints) kin.Joints {
	c := *q
	for i := range c {
		lo, hi := m.turns(i, q[i])
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
		if m.Chain.Prismatic(i) {
			d /= math.Max(m.Reach, 1)
		}
		sum += d * d
	}
	return sum
}
