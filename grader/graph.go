package grader

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/engine/sweep"
	"posework/kin"
)

// Graph is one quantity over the time of a motion, to be drawn. What is between
// its samples was not looked at: no verdict rests on them. Extreme is the
// certified one.
type Graph struct {
	Name   string // "tool speed", "axis 3"
	Unit   string // "mm/s", "mm", "deg"
	Curves []Curve
	Limits []Limit
}

// Curve is a sampled quantity: a value for each of [Graphs].Times, NaN where
// there is none.
type Curve struct {
	Name    string
	Values  []float64
	Subject []string // clearance: the closest pair at each time; else nil
	Extreme Value    // holds the greatest or least value of the whole motion; no unit: not examined
	At      float64  // s
}

// Limit is what a check holds a quantity to.
type Limit struct {
	Name  string // "within 60 mm of shelf-top"; "" for the whole motion
	Value float64
	Most  bool         // the quantity may not be greater; else not smaller
	Spans [][2]float64 // s: when it holds; nil: all the time
}

// Graphs are all quantities of a motion that are worth drawing.
type Graphs struct {
	Times []float64 // s, rising
	All   []Graph   // tool speed, room beside other things, alignments, axes
}

// ClearanceShown is the greatest room beyond what is asked that is measured for a
// graph, mm: what is farther away is of no concern.
const ClearanceShown = 150

// Graphs samples a motion from its start until a time, s, at about points
// moments, evenly spread, and at the moments given besides. Extremes are those of
// the whole motion all the same. It returns nil when nothing moves.
func (x *Exam) Graphs(until float64, points int, moments []float64) *Graphs {
	if len(x.Motion.Pieces) == 0 || !(x.Motion.Duration > 0) || !(until > 0) {
		return nil
	}
	g := grapher{Exam: x, until: min(until, x.Motion.Duration), sweep: sweep.New(x.Motion, sweep.Options{})}
	for _, it := range slices.Concat(x.Task.implied(), x.Task.Checks) {
		g.take(it.Check)
	}
	g.extremes()
	g.sample(points, moments)
	return g.graphs()
}

// grapher collects what is drawn of one motion.
type grapher struct {
	*Exam
	sweep *sweep.Sweep // of the samples: what is judged keeps its own
	until float64      // s

	// From the checks.
	speed              []Limit
	near               []speedNear
	every              bool // the limit of speed is for every point of the arm
	clearances         []clearance
	room               float64 // rad
	wrist, elbow       float64 // rad
	shoulder           float64 // mm
	drawsAxes, aligned bool

	tool, point sweep.Extreme
	axes        [6]sweep.Extreme
	alignments  [3]sweep.Extreme

	times     []float64
	spans     []sweep.Span // places of the times
	beyond    []float64    // mm beyond what is asked, of the closest pair
	subject   []string     // that pair
	isNear    [][]bool     // by near, by time
	anyClose  bool
	closest   Value
	closestAt float64
}

// take notes the thresholds of a check. Of several checks of one kind the
// strictest is drawn.
func (g *grapher) take(c Check) {
	switch c := c.(type) {
	case topSpeed:
		g.every = g.every || c.manual
		g.speed = append(g.speed, Limit{Value: c.limit, Most: true})
	case speedNear:
		g.near = append(g.near, c)
	case approach:
		for _, i := range c.visits(g.Exam) {
			axis := g.Motion.Steps[i].Target.R.Z
			g.slow(&c.stretch, c.measure(g.Exam, g.Motion.Steps[i].Last-1, -1, axis).slow)
		}
	case retract:
		for _, i := range c.visits(g.Exam) {
			if next := g.nextMove(i); next >= 0 {
				axis := g.Motion.Steps[i].Target.R.Z
				g.slow(&c.stretch, c.measure(g.Exam, g.Motion.Steps[next].First, 1, axis).slow)
			}
		}
	case clearance:
		g.clearances = append(g.clearances, c)
	case axisRoom:
		g.room, g.drawsAxes = max(g.room, c.least), true
	case singularityRoom:
		g.wrist, g.elbow, g.shoulder = max(g.wrist, c.wrist), max(g.elbow, c.elbow), max(g.shoulder, c.shoulder)
		g.aligned = true
	}
}

// slow adds the limit on a stretch to or from a work pose.
func (g *grapher) slow(s *stretch, spans []sweep.Span) {
	if s.limit == 0 {
		return
	}
	l := Limit{Name: "next to " + s.name, Value: s.limit, Most: true}
	for _, p := range spans {
		l.Spans = append(l.Spans, [2]float64{g.when(p.Piece, p.S0), g.when(p.Piece, p.S1)})
	}
	if len(l.Spans) > 0 {
		g.speed = append(g.speed, l)
	}
}

// when returns the time at which a piece passes s.
func (g *grapher) when(piece int, s float64) float64 {
	return g.Sweep.ToolSpeed([]sweep.Span{{Piece: piece, S0: s, S1: s}}).At.Time
}

// extremes asks the sweep for the extremes of the whole motion; most of them the
// checks have asked for, too.
func (g *grapher) extremes() {
	all, led := g.Exam.spans(nil), g.Exam.spans(straightened)
	moving := g.Exam.spans(func(p *motion.Piece) bool { return p.Kind != motion.Rest })
	g.tool = g.Sweep.ToolSpeed(moving)
	if g.every {
		g.point = g.Sweep.PointSpeed(moving).Extreme
	}
	for axis := range g.axes {
		g.axes[axis] = g.Sweep.AxisRoom(all, axis)
	}
	for i := range g.alignments {
		g.alignments[i] = g.Sweep.SingularityRoom(led, sweep.Alignment(i))
	}
}

// sample chooses the times, finds their places on the motion and measures all
// distances there.
func (g *grapher) sample(points int, moments []float64) {
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
	need, limit := g.closing(), g.limit()
	for i, t := range g.times {
		g.spans[i] = g.place(t)
		g.measure(i, g.sweep.Clearance(g.spans[i:i+1], need), limit)
	}
}

// closing says up to which distance two bodies are measured at a sample: those
// that come near each other somewhere on the motion; the others are left out.
func (g *grapher) closing() func(a, b sweep.Body) float64 {
	need, limit := g.needed(), g.limit()
	closing := map[pair]bool{}
	for _, p := range g.Sweep.Clearance(g.Exam.spans(nil), need) {
		if p.None || p.Lo >= need(p.A, p.B) {
			continue
		}
		closing[pairOf(p.A, p.B)] = true
		l := limit(p.A, p.B)
		if p.Done && p.Lo-l < ClearanceShown && (!g.anyClose || p.Lo-l < g.closest.Lo) {
			g.anyClose, g.closest, g.closestAt = true, Value{p.Lo - l, p.Hi - l, "mm"}, p.At.Time
		}
	}
	return func(a, b sweep.Body) float64 {
		if !closing[pairOf(a, b)] {
			return math.Inf(-1)
		}
		return need(a, b)
	}
}

// pair names two bodies without their words.
type pair struct {
	a, b   sweep.BodyKind
	ia, ib int
}

func pairOf(a, b sweep.Body) pair { return pair{a.Kind, b.Kind, a.Index, b.Index} }

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

func (g *grapher) graphs() *Graphs {
	out := &Graphs{Times: g.times}
	out.All = append(out.All, g.speedGraph(), g.clearanceGraph())
	g.alignmentGraphs(out)
	for axis := range 6 {
		unit := "deg"
		if g.Cell.Arm.Chain.Prismatic(axis) {
			unit = "mm"
		}
		c := g.curve("", unit, func(s []sweep.Span) sweep.Extreme { return g.sweep.AxisRoom(s, axis) })
		c.set(g.axes[axis], unit)
		a := Graph{Name: fmt.Sprintf("axis %d", axis+1), Unit: unit, Curves: []Curve{c}}
		if g.drawsAxes {
			a.Limits = []Limit{{Value: inUnit(g.room, unit)}}
		}
		out.All = append(out.All, a)
	}
	return out
}

// inUnit gives a value of the engine in the unit that people read.
func inUnit(v float64, unit string) float64 {
	if unit == "deg" {
		return kin.Deg(v)
	}
	return v
}

func (c *Curve) set(e sweep.Extreme, unit string) {
	if e.None || !e.Done {
		return
	}
	c.Extreme, c.At = Value{inUnit(e.Lo, unit), inUnit(e.Hi, unit), unit}, e.At.Time
}

func (g *grapher) curve(name, unit string, ask func([]sweep.Span) sweep.Extreme) Curve {
	c := Curve{Name: name, Values: make([]float64, len(g.times))}
	for i := range g.times {
		c.Values[i] = math.NaN()
		if e := ask(g.spans[i : i+1]); !e.None {
			c.Values[i] = inUnit(e.Lo+(e.Hi-e.Lo)/2, unit)
		}
	}
	return c
}

func (g *grapher) speedGraph() Graph {
	tool := g.curve("tool centre point", "mm/s", g.sweep.ToolSpeed)
	tool.set(g.tool, "mm/s")
	out := Graph{Name: "tool speed", Unit: "mm/s", Curves: []Curve{tool}, Limits: g.speed}
	if g.every {
		fastest := g.curve("fastest point", "mm/s", func(s []sweep.Span) sweep.Extreme { return g.sweep.PointSpeed(s).Extreme })
		fastest.set(g.point, "mm/s")
		out.Curves = append(out.Curves, fastest)
	}
	for k, c := range g.near {
		l := Limit{Name: fmt.Sprintf("within %s of %s", mm(c.within), some(c.names())), Value: c.limit, Most: true}
		if l.Spans = g.during(func(i int) bool { return g.isNear[k][i] }); len(l.Spans) > 0 {
			out.Limits = append(out.Limits, l)
		}
	}
	for i, z := range g.Cell.Zones {
		if z.Rule != cell.AtMost {
			continue
		}
		l := Limit{Name: "in zone " + z.Name, Value: z.Speed, Most: true}
		if l.Spans = g.during(func(k int) bool { return !g.sweep.ZoneSpeed(g.spans[k:k+1], i).None }); len(l.Spans) > 0 {
			out.Limits = append(out.Limits, l)
		}
	}
	return out
}

// some names a few things and counts the others.
func some(names []string) string {
	switch len(names) {
	case 1:
		return names[0]
	case 2:
		return names[0] + " or " + names[1]
	}
	return fmt.Sprintf("%s or %d others", names[0], len(names)-1)
}

// during returns the time spans of the samples at which something holds; a span
// reaches half way to the next sample.
func (g *grapher) during(holds func(i int) bool) (spans [][2]float64) {
	on := false
	for i, t := range g.times {
		was := on
		on = holds(i)
		switch {
		case on && !was:
			from := t
			if i > 0 {
				from = (g.times[i-1] + t) / 2
			}
			spans = append(spans, [2]float64{from, t})
		case was && !on:
			spans[len(spans)-1][1] = (g.times[i-1] + t) / 2
		}
	}
	if on {
		spans[len(spans)-1][1] = g.times[len(g.times)-1]
	}
	return spans
}

// clearanceGraph is the distance beyond what is asked of the pair that has least
// of it: pairs are asked for different distances, so the room that is left is
// what can be compared.
func (g *grapher) clearanceGraph() Graph {
	c := Curve{Name: "closest pair", Values: g.beyond, Subject: g.subject}
	if g.anyClose {
		c.Extreme, c.At = g.closest, g.closestAt
	}
	out := Graph{Name: "clearance", Unit: "mm", Curves: []Curve{c}}
	if len(g.clearances) > 0 {
		out.Limits = []Limit{{}}
	}
	return out
}

// alignmentGraphs are those of the alignments that the arm has and the task asks
// about, or of all that the arm has when it asks about none.
func (g *grapher) alignmentGraphs(out *Graphs) {
	led := g.during(func(i int) bool { return straightened(&g.Motion.Pieces[g.spans[i].Piece]) })
	for _, a := range []struct {
		which sweep.Alignment
		name  string
		unit  string
		least float64
	}{
		{sweep.Wrist, "wrist", "deg", g.wrist},
		{sweep.Elbow, "elbow", "deg", g.elbow},
		{sweep.Shoulder, "shoulder", "mm", g.shoulder},
	} {
		if g.aligned && a.least == 0 {
			continue
		}
		c := g.curve("", a.unit, func(s []sweep.Span) sweep.Extreme { return g.sweep.SingularityRoom(s, a.which) })
		if !slices.ContainsFunc(c.Values, func(v float64) bool { return !math.IsNaN(v) }) {
			continue
		}
		c.set(g.alignments[a.which], a.unit)
		r := Graph{Name: a.name, Unit: a.unit, Curves: []Curve{c}}
		if a.least > 0 && len(led) > 0 {
			r.Limits = []Limit{{Name: "on lines and arcs", Value: inUnit(a.least, a.unit), Spans: led}}
		}
		out.All = append(out.All, r)
	}
}
