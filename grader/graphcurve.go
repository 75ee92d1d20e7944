package grader

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/cell"
	"posework/engine/sweep"
	"posework/kin"
)

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
		a := Graph{Name: axisName(axis), Unit: unit, Curves: []Curve{c}}
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
	c := Curve{Name: "closest pair", Values: g.beyond, Subject: g.subject, Extreme: g.closest, At: g.closestAt}
	out := Graph{Name: "clearance", Unit: "mm", Curves: []Curve{c}}
	if len(g.clearances) > 0 {
		out.Limits = []Limit{{}}
	}
	return out
}

// alignmentGraphs are those of the alignments that the arm has and the task asks
// about, or of all that the arm has when it asks about none.
func (g *grapher) alignmentGraphs(out *Graphs) {
	led := g.during(func(i int) bool { return g.straightened(&g.Motion.Pieces[g.spans[i].Piece]) })
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
