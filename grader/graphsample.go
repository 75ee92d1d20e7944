package grader

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"posework/engine/motion"
	"posework/engine/shape"
	"posework/engine/sweep"
)

// sample chooses the times, finds their places on the motion and measures all
// distances there.
func (g *grapher) sample(points int, moments []float64) {
	need := g.closing()
	add := func(t float64) {
		if t >= 0 && t <= g.until {
			g.times = append(g.times, t)
		}
	}
	for i := range points + 1 {
		add(g.until * (float64(i) / float64(points)))
	}
	for _, t := range moments {
		add(t)
	}
	for _, e := range append(append(g.axes[:], g.alignments[:]...), g.tool, g.point) {
		if !e.None {
			add(e.At.Time)
		}
	}
	add(g.closestAt)
	// Where a piece ends something often changes; a program of thousands of steps
	// has more of them than anyone can see.
	if pieces := g.Motion.Pieces; len(pieces) <= points/2 {
		for i := range pieces {
			add(pieces[i].Start)
		}
	}
	slices.SortFunc(g.times, cmp.Compare)
	g.times = slices.Compact(g.times)
	g.spans = make([]sweep.Span, len(g.times))
	g.beyond = make([]float64, len(g.times))
	g.subject = make([]string, len(g.times))
	g.isNear = make([][]bool, len(g.near))
	for k := range g.isNear {
		g.isNear[k] = make([]bool, len(g.times))
	}
	limit := g.limit()
	piece, near := -1, need
	for i, t := range g.times {
		g.spans[i] = g.place(t)
		if k := g.spans[i].Piece; k != piece && len(g.Motion.Pieces) <= points {
			piece, near = k, g.closeOn(k, need)
		}
		g.measure(i, g.sweep.Clearance(g.spans[i:i+1], near), limit)
	}
}

// closeOn leaves out the pairs that stay apart while a piece runs.
func (g *grapher) closeOn(piece int, need func(a, b sweep.Body) float64) func(a, b sweep.Body) float64 {
	s0, s1 := ends(&g.Motion.Pieces[piece])
	near := map[pair]float64{}
	for _, p := range g.Sweep.Clearance([]sweep.Span{{Piece: piece, S0: s0, S1: s1}}, need) {
		if n := need(p.A, p.B); !p.None && p.Lo < n {
			near[pairOf(p.A, p.B)] = n
		}
	}
	return needOf(near)
}

// needOf asks for the distances of some pairs and leaves out all others.
func needOf(pairs map[pair]float64) func(a, b sweep.Body) float64 {
	return func(a, b sweep.Body) float64 {
		if n, ok := pairs[pairOf(a, b)]; ok {
			return n
		}
		return math.Inf(-1)
	}
}

// closing says up to which distance two bodies are measured at a sample: those
// that come near each other somewhere on the motion; the others are left out.
func (g *grapher) closing() func(a, b sweep.Body) float64 {
	need, limit := g.needed(), g.limit()
	closing := map[pair]float64{}
	proved := true
	g.closest = Value{ClearanceShown, math.Inf(1), "mm"}
	for _, p := range g.Sweep.Clearance(g.Exam.spans(nil), need) {
		n := need(p.A, p.B)
		if p.None || p.Lo >= n {
			continue
		}
		closing[pairOf(p.A, p.B)] = n
		proved = proved && p.Done
		if l := limit(p.A, p.B); p.Lo-l < g.closest.Lo {
			g.closest, g.closestAt = Value{p.Lo - l, p.Hi - l, "mm"}, p.At.Time
		}
	}
	if !proved {
		g.closest = Value{}
	}
	return needOf(closing)
}

// pair names two bodies in one word, since every sample asks about all of them:
// kind and index of the one, then of the other. A cell has far fewer than 2^24
// bodies of a kind.
type pair uint64

func pairOf(a, b sweep.Body) pair {
	return pair(a.Kind)<<56 | pair(a.Index)<<32 | pair(b.Kind)<<24 | pair(b.Index)
}

// measure keeps what is drawn of the distances at time i.
func (g *grapher) measure(i int, pairs []sweep.PairExtreme, limit func(a, b sweep.Body) float64) {
	g.beyond[i] = ClearanceShown
	var a, b string
	for _, p := range pairs {
		if p.None {
			continue
		}
		if room := p.Hi - limit(p.A, p.B); room < g.beyond[i] {
			g.beyond[i], a, b = room, p.A.Name, p.B.Name
		}
		if p.A.Kind != sweep.Tool && p.A.Kind != sweep.Held {
			continue
		}
		for k := range g.near {
			if p.Hi <= g.near[k].within && g.near[k].about(p.B) {
				g.isNear[k][i] = true
			}
		}
	}
	if a != "" {
		g.subject[i] = a + " and " + b
	}
	var e motion.Eval
	g.Motion.Pieces[g.spans[i].Piece].Path.At(g.spans[i].S0, &e)
	tip := shape.Shape{Kind: shape.Sphere, P: e.TCP.T}
	for k := range g.near {
		g.isNear[k][i] = g.isNear[k][i] || slices.ContainsFunc(g.near[k].things, func(b sweep.Body) bool {
			thing, stands := g.standing(b, g.spans[i].Piece)
			return stands && shape.Distance(&tip, &thing) <= g.near[k].within
		})
	}
}

// standing returns a solid, or a part that is loose while a piece runs, where it
// stands.
func (g *grapher) standing(b sweep.Body, piece int) (s shape.Shape, ok bool) {
	if b.Kind == sweep.Solid {
		return g.Cell.Solids[b.Index].Shape, true
	}
	scene := &g.Motion.Scenes[g.Motion.Pieces[piece].Scene]
	if scene.Held == b.Index {
		return s, false
	}
	g.Cell.Parts[b.Index].Shape.Move(&scene.Parts[b.Index].Pose, &s)
	return s, true
}

// place returns the place on the motion at a time; where two pieces meet that of
// the later one.
func (g *grapher) place(t float64) sweep.Span {
	pieces := g.Motion.Pieces
	k := sort.Search(len(pieces), func(i int) bool { return pieces[i].Start > t })
	k = max(0, k-1)
	s, _, _ := pieces[k].Law.At(t - pieces[k].Start)
	return sweep.Span{Piece: k, S0: s, S1: s}
}

// needed says up to which distance two bodies are measured.
func (g *grapher) needed() func(a, b sweep.Body) float64 {
	limit := g.limit()
	return func(a, b sweep.Body) float64 {
		n := limit(a, b) + ClearanceShown
		if a.Kind == sweep.Tool || a.Kind == sweep.Held {
			for _, c := range g.near {
				if c.about(b) {
					n = max(n, c.within+sweep.TolMM)
				}
			}
		}
		return n
	}
}

// limit is the distance that two bodies must keep: the greatest that a check asks
// for. Without a check nothing is asked, and a tool may touch parts and what they
// lie on.
func (g *grapher) limit() func(a, b sweep.Body) float64 {
	if len(g.clearances) == 0 {
		return func(a, b sweep.Body) float64 {
			if a.Kind == sweep.Tool && (b.Kind == sweep.Part || b.Kind == sweep.Held) || a.Kind == sweep.Held {
				return math.Inf(-1)
			}
			return 0
		}
	}
	var needs []func(a, b sweep.Body) float64
	for _, c := range g.clearances {
		needs = append(needs, c.need(g.Exam))
	}
	return func(a, b sweep.Body) float64 {
		n := math.Inf(-1)
		for _, need := range needs {
			n = max(n, need(a, b))
		}
		return n
	}
}
