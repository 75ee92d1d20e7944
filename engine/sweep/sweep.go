package sweep

import (
	"math"

	"posework/engine/motion"
	"posework/kin"
)

// Options bounds the work.
type Options struct {
	// Work is the greatest number of intervals that one question may look at;
	// 0 stands for DefaultWork.
	Work int
}

// DefaultWork serves any program that a person would write: a question about one
// looks at some thousand intervals, next to a singularity at tens of thousands.
const DefaultWork = 100_000

// Tolerances: how wide the interval of an answer may be.
const (
	TolMM   = 0.05                 // lengths, mm
	TolRad  = 0.05 * math.Pi / 180 // angles
	TolMMS  = 0.5                  // speeds of points, mm/s
	TolRadS = 0.5 * math.Pi / 180  // speeds of axes, rad/s
)

// slack is what rounding may have done to a length, mm: paths are evaluated to
// 1e-10 mm, distances to 1e-12 mm, and the halves of an interval meet to the
// last bit of s. It is added on the safe side of every bound and every value.
const slack = 1e-9

// Sweep answers questions about one trajectory. It keeps what it has evaluated,
// so that the next question finds it. It is not safe for concurrent use; two
// sweeps of the same trajectory are, and answer alike to the last bit.
type Sweep struct {
	tr        *motion.Trajectory
	work      int
	inverse   *kin.Inverse
	prismatic [6]bool
	laws      []law
	tree      tree
	bodies    []Body
	setups    []*setup // by piece
	made      []*setup

	front, next []entry // scratch of the searches
	pairs       pairScratch
	bound       motion.Bound
}

// New prepares the examination of a trajectory.
func New(tr *motion.Trajectory, o Options) *Sweep {
	w := &Sweep{tr: tr, work: o.Work, inverse: tr.Cell.Arm.Inverse()}
	if w.work <= 0 {
		w.work = DefaultWork
	}
	for i, r := range tr.Cell.Arm.Chain.Rows() {
		w.prismatic[i] = r.Prismatic
	}
	w.tree.roots = make([][]root, len(tr.Pieces))
	w.setups = make([]*setup, len(tr.Pieces))
	w.laws = make([]law, len(tr.Pieces))
	for i := range tr.Pieces {
		w.laws[i] = newLaw(&tr.Pieces[i].Law)
	}
	return w
}

// Between returns the spans that run from time t0 to t1, in s from the start of
// the motion. A rest that begins or ends with them is part of them.
func (w *Sweep) Between(t0, t1 float64) []Span {
	var out []Span
	for i := range w.tr.Pieces {
		p := &w.tr.Pieces[i]
		if p.End < t0 || p.Start > t1 {
			continue
		}
		a, _, _ := p.Law.At(math.Max(t0-p.Start, 0))
		b, _, _ := p.Law.At(math.Min(t1, p.End) - p.Start)
		out = append(out, Span{i, a, b})
	}
	return out
}

// moment says where and when a node's middle is.
func (w *Sweep) moment(n *node) Moment {
	return Moment{Piece: n.piece, S: n.mid, Time: w.tr.Pieces[n.piece].Start + n.t}
}
