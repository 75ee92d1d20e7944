package sweep

import (
	"math"
	"slices"
)

// group gathers all pairs of solids of two bodies.
type group struct {
	a, b     int // indices into Sweep.bodies
	need     float64
	lo, hi   float64
	at       int32
	done     bool
	occurred bool
	low      int32 // node with the bound lo, and its task: where to measure if nothing was
	task     int32
}

// enough is the bound at which an interval can't hold anything of interest: the
// need, or what would not better the least distance found by the tolerance.
func (g *group) enough() float64 {
	tol := TolMM
	if g.hi < 0 {
		// In overlap how deep is worth a tenth of the depth.
		tol = math.Max(tol, -g.hi/10)
	}
	return math.Min(g.need, g.hi-tol)
}

// task is a pair of solids of a setup: a mover against a fixed solid, or against
// another mover nearer the base.
type task struct {
	mover, other int32
	self         bool
	group        int32
}

// pairScratch is the memory of searches over pairs.
type pairScratch struct {
	view        view
	groups      []group
	tasks       [][]task // by setup, in the order of Sweep.made
	front, next []pairEntry
	list, nlist []int32 // tasks of the entries
	bound       []float64
}

// pairEntry is an interval with the tasks list[from:to] still open there.
type pairEntry struct {
	node     int32
	from, to int32
	bounds   int32 // the bounds found are bound[bounds:]
}

// Clearance returns the least distance of every two bodies that must not meet,
// over spans: links 1 to 6, tool and held part against solids, loose parts and
// floor, and against each other where they are not neighbours, the base
// included. Distances are exact to TolMM (in overlap: to a tenth of the depth)
// where they are below need(a, b); above it Lo is at least the need. A pair whose
// need is minus infinity is left out. A is the body farther from the base.
func (w *Sweep) Clearance(spans []Span, need func(a, b Body) float64) []PairExtreme {
	return w.clearance(spans, func(a, b Body) float64 {
		if b.Kind == Zone {
			return math.Inf(-1)
		}
		return need(a, b)
	})
}

// ZoneClearance returns the least distance of links 1 to 6, tool and held part
// from a zone, as Clearance does. A body enters the zone when its distance falls
// below 0: touching is not entering.
func (w *Sweep) ZoneClearance(spans []Span, zone int, need float64) []PairExtreme {
	return w.clearance(spans, func(_, b Body) float64 {
		if b.Kind != Zone || b.Index != zone {
			return math.Inf(-1)
		}
		return need
	})
}

func (w *Sweep) clearance(spans []Span, need func(a, b Body) float64) []PairExtreme {
	p := &w.pairs
	w.prepare(spans, need)
	front, list := p.front[:0], p.list[:0]
	first := 0 // what the first round looks at
	for _, s := range spans {
		first += 3 * len(w.tasksOf(s.Piece))
	}
	if first > w.left {
		w.left = -1
	}
	for _, s := range spans {
		t := w.tasksOf(s.Piece)
		for i := range t {
			g := &p.groups[t[i].group]
			g.occurred = true
			if w.left < 0 {
				g.lo, g.done = math.Inf(-1), false
			}
		}
		if len(t) == 0 || w.left < 0 {
			continue
		}
		r := w.root(s)
		for k, n := range [3]int32{r.first, r.last, r.whole} {
			if k > 0 && n == r.first {
				break
			}
			from := int32(len(list))
			list = slices.Grow(list, len(t))
			for i := range t {
				list = append(list, int32(i))
			}
			front = append(front, pairEntry{node: n, from: from, to: int32(len(list))})
		}
	}
	next, nlist := p.next[:0], p.nlist[:0]
	work := w.work
	for len(front) > 0 {
		p.bound = slices.Grow(p.bound[:0], len(list)) // one for each open task
		for i := range front {
			e := &front[i]
			e.bounds = int32(len(p.bound))
			w.lookAtPairs(e.node, list[e.from:e.to])
		}
		work -= len(front)
		next, nlist = next[:0], nlist[:0]
		for i := range front {
			next, nlist = w.keepOpen(&front[i], list, work < 0, next, nlist)
		}
		front, next = next, front
		list, nlist = nlist, list
	}
	p.front, p.next, p.list, p.nlist = front, next, list, nlist
	return w.pairResults()
}

// prepare lists the tasks of every setup that occurs, and the groups.
func (w *Sweep) prepare(spans []Span, need func(a, b Body) float64) {
	p := &w.pairs
	for _, s := range spans {
		w.setup(s.Piece)
	}
	p.groups = p.groups[:0]
	for len(p.tasks) < len(w.made) {
		p.tasks = append(p.tasks, nil)
	}
	index := make([]int32, len(w.bodies)*len(w.bodies)) // group by pair of bodies, plus one; -1: left out
	find := func(a, b int) int32 {
		at := &index[a*len(w.bodies)+b]
		if *at == 0 {
			*at = -1
			if n := need(w.bodies[a], w.bodies[b]); !math.IsInf(n, -1) {
				p.groups = append(p.groups, group{a: a, b: b, need: n, lo: math.Inf(1), hi: math.Inf(1), at: -1, low: -1, done: true})
				*at = int32(len(p.groups))
			}
		}
		return *at - 1
	}
	for k, s := range w.made {
		tasks := p.tasks[k][:0]
		w.spend(len(s.movers) * len(s.fixed) / listed)
		for i := range s.movers {
			if s.movers[i].link == 0 {
				continue // the base does not move
			}
			for j := range s.fixed {
				if g := find(s.movers[i].body, s.fixed[j].body); g >= 0 {
					tasks = append(tasks, task{int32(i), int32(j), false, g})
				}
			}
		}
		for _, x := range s.self {
			if g := find(s.movers[x.b].body, s.movers[x.a].body); g >= 0 {
				tasks = append(tasks, task{int32(x.b), int32(x.a), true, g})
			}
		}
		p.tasks[k] = tasks
	}
}

func (w *Sweep) tasksOf(piece int) []task {
	s := w.setup(piece)
	for k := range w.made {
		if w.made[k] == s {
			return w.pairs.tasks[k]
		}
	}
	return nil
}

// lookAtPairs measures the open tasks of a node and appends a bound for each.
func (w *Sweep) lookAtPairs(at int32, open []int32) {
	p := &w.pairs
	n := w.tree.node(at)
	tasks := w.tasksOf(n.piece)
	if w.left >= 0 {
		p.view.look(w, n)
	}
	var g gap
	for _, i := range open {
		if !w.spend(1) {
			p.bound = append(p.bound, math.Inf(-1))
			continue
		}
		t := &tasks[i]
		gr := &p.groups[t.group]
		p.view.pair(t, gr.enough(), &g)
		if !math.IsInf(g.value, 1) {
			w.spend(pairWork)
		}
		gr.take(&g, at)
		p.bound = append(p.bound, g.bound)
	}
}

// pair measures a task.
func (v *view) pair(t *task, enough float64, g *gap) {
	if t.self {
		i := int(t.other)
		solid, m := v.place(i), v.mover(i)
		v.gap(int(t.mover), solid, v.at[i], m.radius, m.link, enough, g)
		return
	}
	f := &v.s.fixed[t.other]
	v.gap(int(t.mover), &f.shape, f.centre, f.radius, 0, enough, g)
}

// take keeps a distance that is less than those before.
func (g *group) take(x *gap, at int32) {
	if v := x.value + slack; v < g.hi {
		g.hi, g.at = v, at
	}
}

// measure measures a pair that was never near enough, where it may be nearest.
func (w *Sweep) measure(g *group) {
	if g.low < 0 || !w.spend(pairWork) {
		return
	}
	p := &w.pairs
	n := w.tree.node(g.low)
	p.view.look(w, n)
	var x gap
	p.view.pair(&w.tasksOf(n.piece)[g.task], math.Inf(1), &x)
	g.take(&x, g.low)
}

// keepOpen settles the tasks of an entry that can't better what is known, and
// puts the others on the list of both halves of its interval.
func (w *Sweep) keepOpen(e *pairEntry, list []int32, stop bool, next []pairEntry, nlist []int32) ([]pairEntry, []int32) {
	p := &w.pairs
	n := w.tree.node(e.node)
	tasks := w.tasksOf(n.piece)
	stop = stop || n.narrow() || w.left < 0
	from := int32(len(nlist))
	for k := e.from; k < e.to; k++ {
		g := &p.groups[tasks[list[k]].group]
		b := p.bound[e.bounds+k-e.from]
		if ok := b >= g.enough(); ok || stop {
			if b < g.lo || g.low < 0 {
				g.lo, g.low, g.task = b, e.node, list[k]
			}
			g.done = g.done && (ok || n.h == 0) && w.left >= 0
			continue
		}
		nlist = append(nlist, list[k])
	}
	if to := int32(len(nlist)); to > from {
		l, r := w.halves(e.node)
		next = append(next, pairEntry{node: l, from: from, to: to}, pairEntry{node: r, from: from, to: to})
	}
	return next, nlist
}

func (w *Sweep) pairResults() []PairExtreme {
	p := &w.pairs
	var out []PairExtreme
	for i := range p.groups {
		g := &p.groups[i]
		if !g.occurred {
			continue
		}
		if g.at < 0 {
			w.measure(g)
		}
		x := PairExtreme{A: w.bodies[g.a], B: w.bodies[g.b]}
		x.Lo, x.Hi, x.Done = math.Min(g.lo, g.hi), g.hi, g.done
		if g.at >= 0 {
			x.At = w.moment(w.tree.node(g.at))
		}
		out = append(out, x)
	}
	return out
}
