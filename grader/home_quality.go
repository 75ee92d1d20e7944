package grader

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/shape"
	"posework/engine/source"
	"posework/engine/sweep"
	"posework/kin"
)

// homeQuality: the home pose is clear of solids and zones, away from limits and
// singularities, seen from the gate, and left and reached by joint moves; from
// each named station a clear way home is taught.
type homeQuality struct {
	homeSpec
	eye                    *kin.Vec  // world: of a person at the gate; nil: none is asked for
	keep                   clearance // at home, and what may come closer
	room                   float64   // rad to every axis limit
	wrist, elbow, shoulder float64   // rad, rad, mm
	ways                   []station // from which a way home must be shown
	wayLeast               float64   // mm kept on the way home
}

func decodeHomeQuality(d *decoder) Check {
	c := homeQuality{
		homeSpec: d.home(),
		keep:     clearance{least: d.mm("clearance", 150), own: ownLeast},
		room:     d.deg("limit-room", kin.Rad(15)),
		wrist:    d.deg("wrist", kin.Rad(20)),
		elbow:    d.deg("elbow", kin.Rad(5)),
		shoulder: d.mm("shoulder", 80),
		wayLeast: d.mm("way-clearance", 50),
	}
	if n := d.m.Get("seen-from"); n != nil {
		p := d.place(n)
		c.eye = &p.T
	}
	if n := d.m.Get("except"); n != nil {
		for _, e := range n.List() {
			if ex, ok := d.exception(e); ok {
				c.keep.except = append(c.keep.except, ex)
			}
		}
	}
	if n := d.m.Get("ways-from"); n != nil {
		for _, w := range names(n) {
			c.ways = append(c.ways, d.station(w))
		}
	}
	return c
}

// station is where the arm works, and must find home from: a place that the task
// gives, or whatever pose of the program has its name.
type station struct {
	name  string
	place *kin.Pose // world to tool centre point; nil: a pose of that name
	near  float64   // mm: a stop so close to the place is one at the station
}

// station reads a name, or {name: chute, at: {xyz, rpy, frame}}. A learner may give
// any pose a name; where it matters what lies there, the task gives the place.
func (d *decoder) station(n *sourceNode) station {
	if n.Kind() != source.Mapping {
		return station{name: n.Name()}
	}
	m := n.Map()
	s := station{name: m.Need("name").Name(), near: 5}
	s.place = new(d.place(m.Need("at")))
	m.Close()
	return s
}

// at reports whether an executed move ends at the station.
func (s *station) at(x *Exam, step int) bool {
	m := &x.Motion.Steps[step]
	if s.place == nil {
		return m.Source.To.Name == s.name
	}
	distance, _ := apart(&m.Target, s.place)
	return distance <= s.near+lengthSlack
}

func (c homeQuality) Title() string {
	t := "a home pose that can be trusted"
	if len(c.ways) > 0 {
		names := make([]string, len(c.ways))
		for i := range c.ways {
			names[i] = c.ways[i].name
		}
		t += ", with ways home from " + strings.Join(names, ", ")
	}
	return t
}

func (c homeQuality) Run(x *Exam) Outcome {
	var out Outcome
	stops := c.stops(x)
	if len(stops) == 0 {
		f := x.finding("home-quality", "NOT_HOME_AT_START", -1)
		f.Text = "the program never stands still at " + c.words()
		return Outcome{Findings: []Finding{f}}
	}
	for _, i := range stops {
		c.still(x, &out, i) // at each of them: a part may hang in the tool
		c.seen(x, &out, i)
	}
	c.joins(x, &out)
	for _, w := range c.ways {
		c.wayFrom(x, &out, w)
	}
	return out
}

// stops lists the executed moves that come to rest at home.
func (c *homeQuality) stops(x *Exam) (steps []int) {
	for _, i := range x.arrivals() {
		s := &x.Motion.Steps[i]
		if ok, _, _ := c.stands(x, &s.TargetQ, &s.Target, s.Tool); ok && s.Source.FlyBy == 0 {
			steps = append(steps, i)
		}
	}
	return steps
}

// still judges the arm as it stands at the end of a step.
func (c homeQuality) still(x *Exam, out *Outcome, step int) {
	here := x.endOf(step)
	// A home pose keeps away from what stands in the cell. How close the arm's
	// own links come to each other is a matter of its build.
	keep := c.keep.need(x)
	fixed := func(a, b sweep.Body) float64 {
		if a.Kind <= sweep.Held && b.Kind <= sweep.Held {
			return math.Inf(-1)
		}
		return keep(a, b)
	}
	near := x.clear("home-quality", here, fixed, "HOME_CLEARANCE")
	for _, f := range near.Findings {
		out.once(f)
	}
	out.Unproved = out.Unproved || near.Unproved
	if out.Measured.Unit == "" || near.Measured.Unit != "" && near.Measured.Lo < out.Measured.Lo {
		out.Measured, out.Subject = near.Measured, near.Subject
	}
	for i := range x.Cell.Zones {
		if x.Cell.Zones[i].Rule != cell.KeepOut {
			continue
		}
		for _, p := range x.Sweep.ZoneClearance(here, i, c.keep.least) {
			out.Unproved = out.Unproved || !p.None && !p.Done
			if !p.None && p.Hi < c.keep.least-lengthSlack {
				c.add(x, out, "HOME_CLEARANCE", step, Value{p.Lo, p.Hi, "mm"}, exact(c.keep.least, "mm"),
					"at home %s is %s from zone %s, at least %s is asked", p.A.Name, mm(p.Hi), x.Cell.Zones[i].Name, mm(c.keep.least))
			}
		}
	}
	for axis := range 6 {
		e := x.Sweep.AxisRoom(here, axis)
		out.Unproved = out.Unproved || !e.None && !e.Done
		if e.Hi < c.room {
			c.add(x, out, "HOME_NEAR_LIMIT", step, degrees(e.Lo, e.Hi), degrees(c.room, c.room),
				"at home axis %d is %s from its limit, at least %s is asked", axis+1, deg(e.Hi), deg(c.room))
		}
	}
	for _, a := range []struct {
		which sweep.Alignment
		least float64
		value func(lo, hi float64) Value
		words string
	}{
		{sweep.Wrist, c.wrist, degrees, "axes 4 and 6 are nearly in line"},
		{sweep.Elbow, c.elbow, degrees, "the elbow is nearly stretched or folded"},
		{sweep.Shoulder, c.shoulder, millimetres, "the wrist centre is nearly above axis 1"},
	} {
		e := x.Sweep.SingularityRoom(here, a.which)
		out.Unproved = out.Unproved || !e.None && !e.Done
		if !e.None && e.Hi < a.least {
			c.add(x, out, "HOME_NEAR_SINGULARITY", step, a.value(e.Lo, e.Hi), a.value(a.least, a.least), "at home %s", a.words)
		}
	}
}

// seen judges whether a person at the gate sees tool and flange of the arm that
// stands at the end of a step: whether the straight lines of sight are free of
// what stands in the cell. A line that touches a solid is not free.
func (c homeQuality) seen(x *Exam, out *Outcome, step int) {
	if c.eye == nil {
		return
	}
	s := &x.Motion.Steps[step]
	var f kin.Frames
	x.Cell.Arm.Chain.Forward(&s.TargetQ, &f)
	for _, target := range []struct {
		name string
		at   kin.Vec
	}{{"the tool", s.Target.T}, {"the flange", f[6].T}} {
		sight := shape.Shape{Kind: shape.Capsule, P: *c.eye, Q: target.at}
		if hides := x.inTheWay(&sight, s.Scene); hides != "" {
			c.add(x, out, "HOME_NOT_VISIBLE", step, Value{}, Value{}, "at home %s can't be seen from the gate: %s is in the way", target.name, hides)
		}
	}
}

// inTheWay names the first thing in the cell that a shape touches, in a scene:
// a solid or a loose part; "" for none.
func (x *Exam) inTheWay(s *shape.Shape, scene int) string {
	for i := range x.Cell.Solids {
		if shape.Distance(s, &x.Cell.Solids[i].Shape) <= lengthSlack {
			return x.Cell.Solids[i].Name
		}
	}
	now := &x.Motion.Scenes[scene]
	for i := range now.Parts {
		var placed shape.Shape
		x.Cell.Parts[i].Shape.Move(&now.Parts[i].Pose, &placed)
		if i != now.Held && shape.Distance(s, &placed) <= lengthSlack {
			return x.Cell.Parts[i].Name
		}
	}
	return ""
}

func (c homeQuality) add(x *Exam, out *Outcome, code string, step int, measured, limit Value, format string, args ...any) {
	f := x.finding("home-quality", code, step)
	f.Measured, f.Limit = measured, limit
	f.Text = fmt.Sprintf(format, args...)
	out.once(f)
}

// once adds a finding unless the same was found at an earlier stop at home.
func (o *Outcome) once(f Finding) {
	if !slices.ContainsFunc(o.Findings, func(g Finding) bool { return g.Code == f.Code && g.Subject == f.Subject && g.Text == f.Text }) {
		o.Findings = append(o.Findings, f)
	}
}

// endOf returns the moment at the end of an executed move, as a span without
// length. A move that goes nowhere has no pieces: its moment is the start of
// the next one, or the end of the motion.
func (x *Exam) endOf(step int) []sweep.Span {
	s := &x.Motion.Steps[step]
	i := s.Last - 1
	if s.First == s.Last {
		if s.First < len(x.Motion.Pieces) {
			at, _ := ends(&x.Motion.Pieces[s.First])
			return []sweep.Span{{Piece: s.First, S0: at, S1: at}}
		}
		i = len(x.Motion.Pieces) - 1
	}
	_, at := ends(&x.Motion.Pieces[i])
	return []sweep.Span{{Piece: i, S0: at, S1: at}}
}

// joins judges how home is left and reached.
func (c homeQuality) joins(x *Exam, out *Outcome) {
	for _, i := range c.stops(x) {
		for _, j := range []int{i, x.nextMove(i)} {
			if j < 0 || x.Motion.Steps[j].Source.Path == program.Joint {
				continue
			}
			words := "home is reached on a straight path"
			if j != i {
				words = "home is left on a straight path"
			}
			c.add(x, out, "HOME_LEFT_STRAIGHT", j, Value{}, Value{}, "%s", words)
		}
	}
}

// wayFrom judges the ways home from a station: at least once the program goes
// home from a stop there before it goes to another station, and every time that
// it does it stays clear on the way.
func (c homeQuality) wayFrom(x *Exam, out *Outcome, from station) {
	homes := c.stops(x)
	taught := false
	for _, i := range x.moves() {
		if !from.at(x, i) || x.Motion.Steps[i].Source.FlyBy > 0 {
			continue
		}
		to := i
		for to = x.nextMove(i); to >= 0 && !slices.Contains(homes, to); to = x.nextMove(to) {
			if slices.ContainsFunc(c.ways, func(s station) bool { return s.at(x, to) }) {
				to = -1
				break
			}
		}
		if to < 0 {
			continue
		}
		taught = true
		way := clearance{least: c.wayLeast, own: math.Min(ownLeast, c.wayLeast), except: c.keep.except}
		spans := x.spans(func(p *motion.Piece) bool { return p.Step > i && p.Step <= to })
		r := x.clear("home-quality", spans, way.need(x), "WAY_HOME_BLOCKED")
		out.Findings = append(out.Findings, r.Findings...)
		out.Unproved = out.Unproved || r.Unproved
	}
	if !taught {
		c.add(x, out, "WAY_HOME_MISSING", -1, Value{}, Value{}, "the program does not show a way home from %s", from.name)
	}
}
