package sweep

import (
	"math"

	"posework/engine/motion"
	"posework/kin"
)

// node is an interval of a piece's path, evaluated in its middle. All questions
// share the nodes: an interval is evaluated once, when first asked for.
type node struct {
	piece  int
	mid, h float64 // the interval is [mid-h, mid+h]
	child  int32   // the halves are nodes child and child+1; 0: not made

	t, rate float64 // at the middle: time from the start of the piece, ds/dt
	e       motion.Eval
	link    [7]twist // links at the middle, seen from the world

	// Over the whole interval, where bounded; else nothing is known.
	bounded bool
	b, c, d kin.Joints // |dq/ds|, |d2q/ds2|, |d3q/ds3|
	k       powers     // of them, from the base on
	// tool centre point: |velocity| and its first two derivatives; tool: |angular
	// velocity| and the same
	v, w [3]float64
}

func (n *node) s0() float64 { return n.mid - n.h }
func (n *node) s1() float64 { return n.mid + n.h }

const slabSize = 64

// tree holds the nodes of all pieces.
type tree struct {
	slabs [][]node
	used  int32
	roots [][]root // by piece
}

// root is a span of a piece: the interval and its two ends.
type root struct {
	s0, s1      float64
	whole       int32
	first, last int32 // intervals of no width
}

func (t *tree) node(i int32) *node { return &t.slabs[i/slabSize][i%slabSize] }

func (t *tree) add() (int32, *node) {
	i := t.used
	if int(i/slabSize) == len(t.slabs) {
		t.slabs = append(t.slabs, make([]node, slabSize))
	}
	t.used++
	return i, t.node(i)
}

// fill evaluates the node [mid-h, mid+h] of a piece. up is the node that it is a
// half of, or nil.
func (w *Sweep) fill(n *node, piece int, mid, h float64, up *node) {
	w.spend(evalWork)
	p := &w.tr.Pieces[piece]
	n.piece, n.mid, n.h = piece, mid, h
	p.Path.At(mid, &n.e)
	n.t, n.rate = w.laws[piece].moment(mid)
	links(&n.e, &w.prismatic, 0, &n.link)
	n.bounded = true
	switch {
	case h == 0: // drawn in below to what the middle shows
		for i := range 6 {
			n.b[i], n.c[i] = math.Inf(1), math.Inf(1)
		}
		n.v, n.w = [3]float64{math.Inf(1), math.Inf(1), 0}, [3]float64{math.Inf(1), math.Inf(1), 0}
	case up != nil && up.bounded && !up.loose():
		n.b, n.c, n.d, n.v, n.w = up.b, up.c, up.d, up.v, up.w
	default:
		b := &w.bound
		if n.bounded = p.Path.Bound(mid-h, mid+h, b); !n.bounded {
			return
		}
		n.b, n.c, n.d = b.DQ, b.DDQ, b.DDDQ
		n.v, n.w = [3]float64{b.V, b.A, b.J}, [3]float64{b.W, b.W1, b.W2}
		if up != nil && up.bounded {
			for i := range 6 {
				n.b[i], n.c[i], n.d[i] = math.Min(n.b[i], up.b[i]), math.Min(n.c[i], up.c[i]), math.Min(n.d[i], up.d[i])
			}
		}
	}
	// Drawn in around what is known in the middle.
	for i := range 6 {
		n.c[i] = math.Min(n.c[i], math.Abs(n.e.DDQ[i])+h*n.d[i])
		n.b[i] = math.Min(n.b[i], math.Abs(n.e.DQ[i])+h*n.c[i])
	}
	n.k.set(&n.b, &n.c, &n.d, 0)
	_, acc := n.link[hand].point(n.e.TCP.T)
	n.v[1] = math.Min(n.v[1], acc.Norm()+h*n.v[2])
	n.v[0] = math.Min(n.v[0], n.e.V.Norm()+h*n.v[1])
	n.w[1] = math.Min(n.w[1], n.link[hand].al.Norm()+h*n.w[2])
	n.w[0] = math.Min(n.w[0], n.link[hand].w.Norm()+h*n.w[1])
}

// reach bounds the first three derivatives, by s, of every point of a mover: by
// the axes, and of what the tool carries also by the tool's own motion, which on
// a line is far calmer than the axes that make it.
func (n *node) reach(m *mover) (x1, x2, x3 float64) {
	x1, x2, x3 = dot6(&m.lever, &n.k.k1), dot6(&m.lever, &n.k.k2), dot6(&m.lever, &n.k.k3)
	if m.link == hand {
		w, w1, w2 := n.w[0], n.w[1], n.w[2]
		// Infinite bounds times no distance are no number: compared so that it loses.
		if y := n.v[0] + w*m.far; y < x1 {
			x1 = y
		}
		if y := n.v[1] + (w1+w*w)*m.far; y < x2 {
			x2 = y
		}
		if y := n.v[2] + (w2+3*w*w1+w*w*w)*m.far; y < x3 {
			x3 = y
		}
	}
	return x1, x2, x3
}

// loose reports whether the bounds come mostly from how wide the interval is, so
// that asking the path about its half may pay.
func (n *node) loose() bool {
	wide, known := 0.0, 0.0
	for i := range 6 {
		wide += n.c[i]
		known += math.Abs(n.e.DDQ[i])
	}
	return wide > 2*known
}

// root returns the nodes of a span, made when first asked for.
func (w *Sweep) root(s Span) *root {
	length := w.tr.Pieces[s.Piece].Path.Length()
	s.S0, s.S1 = math.Max(0, s.S0), math.Min(s.S1, length)
	if !(s.S0 < s.S1) {
		s.S1 = s.S0
	}
	list := w.tree.roots[s.Piece]
	for i := range list {
		if list[i].s0 == s.S0 && list[i].s1 == s.S1 {
			return &list[i]
		}
	}
	r := root{s0: s.S0, s1: s.S1}
	var n *node
	r.first, n = w.tree.add()
	w.fill(n, s.Piece, s.S0, 0, nil)
	r.whole, r.last = r.first, r.first
	if s.S1 > s.S0 {
		r.last, n = w.tree.add()
		w.fill(n, s.Piece, s.S1, 0, nil)
		r.whole, n = w.tree.add()
		h := (s.S1 - s.S0) / 2
		w.fill(n, s.Piece, s.S0+h, h, nil)
	}
	w.tree.roots[s.Piece] = append(list, r)
	return &w.tree.roots[s.Piece][len(list)]
}

// halves returns the two halves of a node.
func (w *Sweep) halves(i int32) (int32, int32) {
	n := w.tree.node(i)
	if n.child == 0 {
		h := n.h / 2
		l, left := w.tree.add()
		r, right := w.tree.add()
		n.child = l
		w.fill(left, n.piece, n.mid-h, h, n)
		w.fill(right, n.piece, n.mid+h, h, n)
		_ = r
	}
	return n.child, n.child + 1
}
