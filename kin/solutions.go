package kin

import "math"

// MaxSolutions is the greatest number of isolated solutions of any arm with six
// revolute axes (E. J. F. Primrose, 1986; H.-Y. Lee and C.-G. Liang, 1988).
const MaxSolutions = 16

// Solutions holds the answers of [Inverse.Solve].
type Solutions struct {
	N int
	Q [MaxSolutions]Joints // revolute axes in (-pi, pi]
	// Config of each solution, where HasConfig is true. A solution that lies on
	// an alignment belongs to both of its sides: Edge marks those sides.
	Config    [MaxSolutions]Config
	Edge      [MaxSolutions]Config
	HasConfig bool
	// Complete says that these are all solutions: every closed form's answer is, but
	// where rounding next to a singularity takes its solutions away.
	Complete bool
	// Singular says that at least one solution belongs to a continuous family:
	// two or more axes can turn against each other with the flange at rest.
	// Loose marks those solutions; Q then holds a member near the seed: with
	// axis 1 aligned the one with the seed's axis 1, with axes 4 and 6 aligned
	// the one nearest to the seed.
	Singular bool
	Loose    [MaxSolutions]bool
	// Residual is 0 when the pose is reached. Otherwise N is 1, Q[0] is the
	// nearest approach that was found with the orientation kept, and Residual
	// the distance in mm by which it misses. Where no answer keeps the
	// orientation, its error in rad counts as so many times the sum of the arm's
	// link lengths. A pose with a NaN in it is out of reach by infinitely much.
	Residual float64
}

// add appends a solution.
func (s *Solutions) add(q *Joints, c, edge Config, loose bool) {
	if s.N < MaxSolutions {
		*s.next(c, edge, loose) = *q
	}
}

// next appends a solution whose axes are to be filled in; there must be room.
func (s *Solutions) next(c, edge Config, loose bool) *Joints {
	n := s.N
	s.Config[n], s.Edge[n], s.Loose[n] = c, edge, loose
	s.Singular = s.Singular || loose
	s.N = n + 1
	return &s.Q[n]
}

// Is reports whether solution i has the configuration c, on either side of an
// alignment on which it lies. It is true for an arm without configurations.
func (s *Solutions) Is(i int, c Config) bool {
	own, edge := s.Config[i], s.Edge[i]
	return !s.HasConfig || (own.Back == c.Back || edge.Back) && (own.Down == c.Down || edge.Down) && (own.Flipped == c.Flipped || edge.Flipped)
}

// edges marks the alignments on which the measures of a solution lie.
func edges(front, elbow, wrist float64) Config {
	return Config{Back: math.Abs(front) <= reachTol, Down: math.Abs(elbow) <= edgeTol, Flipped: math.Abs(wrist) <= looseTol}
}
