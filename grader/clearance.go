package grader

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"posework/engine/cell"
	"posework/engine/sweep"
)

// clearance: arm, tool and held part keep a distance from every solid, from
// loose parts and from the floor, and a smaller one from each other, except
// where the task allows them to come closer.
type clearance struct {
	tool   string  // that the arm carries, whose solids count; "": the program's
	least  float64 // mm
	own    float64 // mm between links, tool and held part
	except []exception
}

// ownLeast is the distance that links, tool and held part keep from each other
// when the task asks for no other. An arm is built to fold closer than it may
// come to a fixture: forearm and upper arm are near each other in good poses
// too. A rule of this project; what a real arm needs stands in its manual.
const ownLeast = 10 // mm

// exception lets bodies of one kind come closer to one thing.
type exception struct {
	kind   sweep.BodyKind
	index  int    // -1: every body of the kind
	solid  string // tool: only solids of this name; empty: all
	any    bool
	others []string // names of solids and parts, or "floor"
	least  float64
}

func decodeClearance(d *decoder) Check {
	c := clearance{tool: d.carried(), least: d.needMM("least")}
	c.own = d.mm("own", math.Min(ownLeast, c.least))
	if n := d.m.Get("except"); n != nil {
		for _, e := range n.List() {
			if ex, ok := d.exception(e); ok {
				c.except = append(c.except, ex)
			}
		}
	}
	return c
}

func (d *decoder) exception(n *sourceNode) (e exception, ok bool) {
	m := n.Map()
	e.index = -1
	bodies := []string{"any", "tool", "part", "link-0", "link-1", "link-2", "link-3", "link-4", "link-5", "link-6"}
	links := len(bodies)
	for _, t := range d.cell.Tools {
		for _, s := range t.Solids {
			bodies = append(bodies, s.Name)
		}
	}
	switch i := m.Need("body").OneOf(bodies...); {
	case i < 0:
		return e, false
	case i == 0:
		e.any = true
	case i == 1:
		e.kind = sweep.Tool
	case i == 2:
		e.kind = sweep.Held
	case i < links:
		e.kind, e.index = sweep.Link, i-3
	default:
		e.kind, e.solid = sweep.Tool, bodies[i]
	}
	things := []string{"floor"}
	for _, s := range d.cell.Solids {
		things = append(things, s.Name)
	}
	for _, p := range d.cell.Parts {
		things = append(things, p.Name)
	}
	for _, solid := range names(m.Need("solid")) {
		if i := solid.OneOf(things...); i >= 0 {
			e.others = append(e.others, things[i])
		}
	}
	// A negative distance allows a soft cup to be pressed on by so much.
	e.least = m.Need("least").MM()
	m.Close()
	return e, true
}

func (c clearance) Title() string {
	t := "clearance at least " + mm(c.least)
	if len(c.except) > 0 {
		t += ", less where the task allows it"
	}
	return t
}

// need returns the distance that two bodies must keep.
func (c clearance) need(x *Exam) func(a, b sweep.Body) float64 {
	return func(a, b sweep.Body) float64 {
		least := c.least
		if a.Kind <= sweep.Held && b.Kind <= sweep.Held {
			least = c.own
		}
		for _, e := range c.except {
			if e.covers(x.Cell, a, b) || e.covers(x.Cell, b, a) {
				least = math.Min(least, e.least)
			}
		}
		return least
	}
}

func (e *exception) covers(c *cell.Cell, body, other sweep.Body) bool {
	if !e.any && (body.Kind != e.kind || e.index >= 0 && body.Index != e.index) {
		return false
	}
	if e.any && body.Kind > sweep.Held {
		return false
	}
	if e.solid != "" && !namedBy(body, e.solid) {
		return false
	}
	switch other.Kind {
	case sweep.Solid:
		return slices.Contains(e.others, c.Solids[other.Index].Name)
	case sweep.Part, sweep.Held:
		return slices.Contains(e.others, c.Parts[other.Index].Name)
	case sweep.Floor:
		return slices.Contains(e.others, "floor")
	}
	return false
}

// namedBy reports whether a tool's body is the solid of that name: bodies are
// named by their tool and their solid.
func namedBy(b sweep.Body, solid string) bool {
	return b.Name == solid || strings.HasSuffix(b.Name, " "+solid)
}

func (c clearance) Run(x *Exam) Outcome {
	out := x.clear("clearance", x.spans(nil), c.need(x), "CLEARANCE_LOW")
	x.carries(&out, "clearance", c.tool, x.moves())
	return out
}

// touching is the greatest distance that can't be told from none: distances of
// cylinders are known to 1e-4 mm.
const touching = 2e-4 // mm

// clear examines the distances of all pairs over spans; low is the code for a
// distance that is kept short without contact.
func (x *Exam) clear(check string, spans []sweep.Span, need func(a, b sweep.Body) float64, low string) Outcome {
	var out Outcome
	closest := math.Inf(1) // least room left over what is asked
	for _, pair := range x.Sweep.Clearance(spans, need) {
		limit := need(pair.A, pair.B)
		out.Unproved = out.Unproved || !pair.None && !pair.Done
		if room := pair.Lo - limit; !pair.None && room < closest {
			closest = room
			out.Measured = Value{pair.Lo, pair.Hi, "mm"}
			out.Subject = fmt.Sprintf("%s and %s, at least %s asked", pair.A.Name, pair.B.Name, mm(limit))
		}
		if pair.None || pair.Hi >= limit-lengthSlack {
			continue
		}
		only := func(a, b sweep.Body) float64 {
			if a == pair.A && b == pair.B {
				return need(a, b)
			}
			return math.Inf(-1)
		}
		x.perStep(spans,
			func(s []sweep.Span) sweep.Extreme {
				for _, p := range x.Sweep.Clearance(s, only) {
					if p.A == pair.A && p.B == pair.B {
						return p.Extreme
					}
				}
				return sweep.Extreme{None: true, Done: true}
			},
			func(e sweep.Extreme) bool { return e.Hi < limit-lengthSlack },
			func(step int, e sweep.Extreme) {
				code := low
				if e.Hi <= touching {
					code = "CONTACT"
				}
				f := x.finding(check, code, step)
				f.Measured, f.Limit = Value{e.Lo, e.Hi, "mm"}, exact(limit, "mm")
				f.Subject = pair.A.Name + " and " + pair.B.Name
				if code == "CONTACT" {
					f.Text = fmt.Sprintf("%s strikes %s", pair.A.Name, pair.B.Name)
				} else {
					f.Text = fmt.Sprintf("%s comes within %s of %s, at least %s is asked", pair.A.Name, mm(e.Hi), pair.B.Name, mm(limit))
				}
				x.locate(&f, e.At)
				out.Findings = append(out.Findings, f)
			})
	}
	return out
}

// keepsOut: no part of arm, tool or held part enters a keep-out zone; speed
// zones are kept.
type keepsOut struct {
	zones []int
}

func decodeKeepsOut(d *decoder) Check {
	var c keepsOut
	if n := d.m.Get("zones"); n != nil {
		for _, z := range names(n) {
			if i := oneOf(z, "zones", d.cell.Zones, func(z cell.Zone) string { return z.Name }); i >= 0 {
				c.zones = append(c.zones, i)
			}
		}
		return c
	}
	for i := range d.cell.Zones {
		c.zones = append(c.zones, i)
	}
	if len(c.zones) == 0 {
		d.n.Errorf("T011", "add zones to the cell, or remove the check", "the cell has no zones to keep out of")
	}
	return c
}

func (keepsOut) Title() string { return "zones are kept" }

func (c keepsOut) Run(x *Exam) Outcome {
	var out Outcome
	all := x.spans(nil)
	for _, i := range c.zones {
		z := &x.Cell.Zones[i]
		if z.Rule == cell.AtMost {
			e := x.perStep(all,
				func(s []sweep.Span) sweep.Extreme { return x.Sweep.ZoneSpeed(s, i).Extreme },
				func(e sweep.Extreme) bool { return e.Lo > z.Speed },
				func(step int, e sweep.Extreme) {
					f := x.finding("keeps-out", "ZONE_TOO_FAST", step)
					f.Measured, f.Limit = Value{e.Lo, e.Hi, "mm/s"}, exact(z.Speed, "mm/s")
					f.Subject = z.Name
					f.Text = fmt.Sprintf("%s inside zone %s, at most %s is allowed there", mms(e.Lo), z.Name, mms(z.Speed))
					x.locate(&f, e.At)
					out.Findings = append(out.Findings, f)
				})
			out.Unproved = out.Unproved || !e.None && !e.Done
			continue
		}
		x.enters(&out, all, i)
	}
	return out
}

// enters finds every step on which a body enters the keep-out zone i. Touching
// its face is not entering.
func (x *Exam) enters(out *Outcome, spans []sweep.Span, i int) {
	z := &x.Cell.Zones[i]
	for _, pair := range x.Sweep.ZoneClearance(spans, i, 0) {
		out.Unproved = out.Unproved || !pair.None && !pair.Done
		if pair.None || pair.Hi >= -lengthSlack {
			continue
		}
		x.perStep(spans,
			func(s []sweep.Span) sweep.Extreme {
				for _, p := range x.Sweep.ZoneClearance(s, i, 0) {
					if p.A == pair.A {
						return p.Extreme
					}
				}
				return sweep.Extreme{None: true, Done: true}
			},
			func(e sweep.Extreme) bool { return e.Hi < -lengthSlack },
			func(step int, e sweep.Extreme) {
				f := x.finding("keeps-out", "KEEP_OUT_ENTERED", step)
				f.Measured, f.Limit = Value{-e.Hi, -e.Lo, "mm inside"}, exact(0, "mm inside")
				f.Subject = pair.A.Name + " and " + z.Name
				f.Text = fmt.Sprintf("%s enters zone %s by %s", pair.A.Name, z.Name, mm(-e.Hi))
				x.locate(&f, e.At)
				out.Findings = append(out.Findings, f)
			})
	}
}
