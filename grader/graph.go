package grader

import (
	"slices"

	"posework/engine/motion"
	"posework/engine/sweep"
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
	// Extreme holds the greatest or least value of the whole motion, for alignments
	// that of lines and arcs; without a unit it is not known. Clearance that is
	// nowhere less than [ClearanceShown] has no upper end.
	Extreme Value
	At      float64 // s
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
		for _, v := range c.stays(g.Exam) {
			if v.came != atStart {
				g.slow(&c.stretch, c.wayTo(g.Exam, &v).slow)
			}
		}
	case retract:
		for _, v := range c.stays(g.Exam) {
			if next := g.nextMove(v.left); next >= 0 {
				g.slow(&c.stretch, c.wayFrom(g.Exam, &v, next).slow)
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
	all, led := g.Exam.spans(nil), g.Exam.spans(g.straightened)
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
