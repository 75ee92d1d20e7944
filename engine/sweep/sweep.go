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
	// Total is the greatest work on all questions together, counted in pairs of
	// solids that are seen to lie far apart; other work counts for as many of them
	// as take about the same time. 0 stands for DefaultTotal.
	Total int
}

// DefaultWork serves any program that a person would write: a question about one
// looks at some thousand intervals, next to a singularity at tens of thousands.
const DefaultWork = 100_000

// DefaultTotal keeps the examination of a motion below half a second and 150 MB:
// that of a usual program takes a thirtieth of it. Once it is spent, every further
// question is left open: nothing is known, and Done is false.
const DefaultTotal = 3_000_000

// Work of other kinds. Evaluating an interval counts for what it takes of memory
// as well.
const (
	evalWork  = 100 // evaluating an interval
	lookWork  = 4   // looking at one for a question
	pairWork  = 8   // the distance of two solids, beyond telling that they are far apart
	blockWork = 10  // looking at a block of a body in a zone
	pointWork = 2   // the fastest point of a solid
	listed    = 8   // so many pairs are listed for a work of 1
)

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
	left      int // of the work on all questions
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
	w := &Sweep{tr: tr, work: o.Work, left: o.Total, inverse: tr.Cell.Arm.Inverse()}
	if w.work <= 0 {
		w.work = DefaultWork
	}
	if w.left <= 0 {
		w.left = DefaultTotal
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

// Spent reports whether the work on all questions together is used up, so that
// the answers from now on tell nothing.
func (w *Sweep) Spent() bool { return w.left < 0 }

// spend takes work from what is left and reports whether there was enough.
func (w *Sweep) spend(n int) bool {
	w.left -= n
	return w.left >= 0
}

// moment says where and when a node's middle is.
func (w *Sweep) moment(n *node) Moment {
	return Moment{Piece: n.piece, S: n.mid, Time: w.tr.Pieces[n.piece].Start + n.t}
}
