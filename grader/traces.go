package grader

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/sweep"
	"posework/kin"
)

// traces: the tool follows a figure within a tolerance, covers all of it, at a
// steady speed.
//
// The trace is the longest run of moves whose poses lie on the figure, with
// what the moves before and after it run along the figure: a run-in may begin
// beside the part and go on along its first side. Poses count as meant for the
// figure when they are nearer than meantFor, so that a corner that is a few
// millimetres off is found to be off rather than taken for the end of the trace.
type traces struct {
	figure
	within float64 // mm, on the sides
	corner float64 // mm, at the corners
	gap    float64 // mm, between the ends of a closed trace
	speed  float64 // mm/s; 0: any
	steady float64 // share of speed
	away   float64 // mm from corners and ends, where speed counts
	tilt   float64 // rad; 0: any
	lead   float64 // mm of run-in and run-out; 0: none asked
}

const meantFor = 15 // mm

// inPlane is how far from the figure's plane a run-in may be.
const inPlane = 1 // mm

func decodeTraces(d *decoder) Check {
	c := traces{figure: d.figure(d.m.Need("figure")), within: d.needMM("within")}
	c.corner = d.mm("corner", c.within)
	c.gap = d.mm("gap", c.within)
	c.speed = d.mms("speed", 0)
	c.away = d.mm("away-from-corners", 20)
	c.tilt = d.deg("tilt", 0)
	c.lead = d.mm("lead", 0)
	c.steady = 0.10
	if n := d.m.Get("steady"); n != nil {
		v, _ := n.Quantity("%")
		c.steady = v / 100
	}
	return c
}

func (c traces) Title() string {
	return fmt.Sprintf("%s traced within %s", c.figure.String(), mm(c.within))
}

// trace is the part of a motion that follows the figure: the moves after the
// one that comes to its start.
type trace struct {
	start       int          // executed move that comes to the start of the trace
	first, last int          // executed moves that follow the figure
	in, out     []sweep.Span // what the moves before and after run along the figure
}

func (c traces) Run(x *Exam) Outcome {
	var out Outcome
	t, ok := c.find(x)
	if !ok {
		f := x.finding("traces", "NOT_TRACED", -1)
		f.Text = "no moves follow " + c.figure.String()
		out.Findings = append(out.Findings, f)
		return out
	}
	t.in = c.alongside(x, t.start)
	if after := x.nextMove(t.last); after >= 0 {
		t.out = c.alongside(x, after)
	}
	c.follow(x, &out, t)
	c.bends(x, &out, t)
	c.cover(x, &out, t)
	c.pace(x, &out, t)
	c.upright(x, &out, t)
	c.leads(x, &out, t)
	return out
}

// find returns the run of moves along the figure that is longest in mm.
func (c *traces) find(x *Exam) (best trace, ok bool) {
	moves := x.moves()
	near := float64(meantFor)
	if c.lead > 0 {
		near = math.Min(near, c.lead*0.75) // the run-in is not part of the trace
	}
	on := func(i int) bool { return c.distance(x.Motion.Steps[i].Target.T) <= near }
	longest := 0.0
	for a := 0; a < len(moves); a++ {
		if !on(moves[a]) {
			continue
		}
		b, length := a, 0.0
		for b+1 < len(moves) && on(moves[b+1]) {
			b++
			length += x.Motion.Steps[moves[b]].Target.T.Sub(x.Motion.Steps[moves[b-1]].Target.T).Norm()
		}
		if length > longest {
			longest, ok = length, true
			best = trace{start: moves[a], first: moves[a+1], last: moves[b]}
		}
		a = b
	}
	return best, ok
}

// along returns the spans of the trace whose pieces keep accepts.
func (t trace) along(x *Exam, keep func(*motion.Piece) bool) []sweep.Span {
	spans := x.spans(func(p *motion.Piece) bool {
		return p.Step >= t.first && p.Step <= t.last && p.Kind != motion.Rest && keep(p)
	})
	for i := range spans {
		t.halve(x, &spans[i])
	}
	if first, ok := t.firstCorner(x); ok && keep(&x.Motion.Pieces[first.Piece]) {
		spans = append([]sweep.Span{first}, spans...)
	}
	return slices.Concat(t.in, spans, t.out)
}

// firstCorner is the rounding of the pose where the trace starts: the half that
// leads along the figure, or all of it when the run-in came along the figure.
// It belongs to the step that comes to that pose.
func (t trace) firstCorner(x *Exam) (sweep.Span, bool) {
	i := x.Motion.Steps[t.start].Last - 1
	if i < 0 || i >= len(x.Motion.Pieces) || x.Motion.Pieces[i].Kind != motion.Corner || x.Motion.Pieces[i].Step != t.start {
		return sweep.Span{}, false
	}
	s0, s1 := ends(&x.Motion.Pieces[i])
	if len(t.in) == 0 || t.in[len(t.in)-1].Piece != i-1 {
		s0 = (s0 + s1) / 2
	}
	return sweep.Span{Piece: i, S0: s0, S1: s1}, true
}

// halve takes from the rounding of the trace's last pose the half that leads
// away, unless what follows runs along the figure too.
func (t trace) halve(x *Exam, s *sweep.Span) {
	p := &x.Motion.Pieces[s.Piece]
	if p.Kind == motion.Corner && p.Step == t.last && (len(t.out) == 0 || t.out[0].Piece != s.Piece+1) {
		s.S1 = (s.S0 + s.S1) / 2
	}
}

// alongside returns the stretches of a step's lines that run along the figure,
// within its tolerance. Where they begin and end is found by looking every
// millimetre: what is judged there does not hang on the last one.
func (c *traces) alongside(x *Exam, step int) (spans []sweep.Span) {
	s := &x.Motion.Steps[step]
	for i := s.First; i < s.Last; i++ {
		p := &x.Motion.Pieces[i]
		if p.Kind != motion.LineMove {
			continue
		}
		s0, s1 := ends(p)
		n := int(s1-s0) + 1
		at := func(k int) float64 { return s0 + (s1-s0)*float64(k)/float64(n) }
		on := func(k int) bool {
			var e motion.Eval
			p.Path.At(at(k), &e)
			return c.distance(e.TCP.T) <= c.within
		}
		for k := 0; k <= n; k++ {
			if !on(k) {
				continue
			}
			from := k
			for k < n && on(k+1) {
				k++
			}
			if k > from+meantFor { // a crossing is no run along it
				spans = append(spans, sweep.Span{Piece: i, S0: at(from), S1: at(k)})
			}
		}
	}
	return spans
}

func notCorner(p *motion.Piece) bool { return p.Kind != motion.Corner }

func anyPiece(*motion.Piece) bool { return true }

func (c *traces) add(x *Exam, out *Outcome, code string, step int, measured, limit Value, at *sweep.Moment, format string, args ...any) {
	f := x.finding("traces", code, step)
	f.Measured, f.Limit = measured, limit
	f.Text = fmt.Sprintf(format, args...)
	if at != nil {
		x.locate(&f, *at)
	}
	out.Findings = append(out.Findings, f)
}

// follow judges the distance from the sides, and that no joint move is used.
func (c *traces) follow(x *Exam, out *Outcome, t trace) {
	for i := t.first; i <= t.last; i++ {
		if s := x.Motion.Steps[i].Source; s.Kind == program.Move && s.Path == program.Joint {
			c.add(x, out, "JOINT_MOVE_ON_PATH", i, Value{}, Value{}, nil, "the move to %s along the figure is a joint move", s.To.Name)
		}
	}
	e := x.perStep(t.along(x, notCorner),
		func(s []sweep.Span) sweep.Extreme { return x.Sweep.Deviation(s, c.curve) },
		func(e sweep.Extreme) bool { return e.Lo > c.within },
		func(step int, e sweep.Extreme) {
			c.add(x, out, "PATH_OFF", step, millimetres(e.Lo, e.Hi), exact(c.within, "mm"), &e.At,
				"the tool is %s off the figure, at most %s is allowed", mm(e.Lo), mm(c.within))
		})
	out.greatest(e, millimetres(e.Lo, e.Hi))
}

// bends judges how much of the corners is cut.
func (c *traces) bends(x *Exam, out *Outcome, t trace) {
	cut := func(step int, e sweep.Extreme) {
		c.add(x, out, "CORNER_CUT", step, millimetres(e.Lo, e.Hi), exact(c.corner, "mm"), &e.At,
			"the corner is missed by %s, at most %s is allowed", mm(e.Lo), mm(c.corner))
	}
	e := x.perStep(t.along(x, func(p *motion.Piece) bool { return p.Kind == motion.Corner }),
		func(s []sweep.Span) sweep.Extreme { return x.Sweep.Deviation(s, c.curve) },
		func(e sweep.Extreme) bool { return e.Lo > math.Max(c.corner, c.within) },
		cut)
	out.Unproved = out.Unproved || !e.None && !e.Done
	for _, p := range c.line {
		e := x.Sweep.Nearest(t.along(x, anyPiece), p)
		out.Unproved = out.Unproved || !e.None && !e.Done
		if e.None || e.Lo > meantFor {
			continue // a corner that is left out altogether is a matter of coverage
		}
		if e.Lo > c.corner {
			cut(x.Motion.Pieces[e.At.Piece].Step, e)
		}
	}
}

// cover judges that all of the figure is passed, and that a closed one is
// closed.
func (c *traces) cover(x *Exam, out *Outcome, t trace) {
	all := t.along(x, anyPiece)
	allowed := math.Max(math.Max(c.corner, c.within), c.gap)
	e := x.Sweep.Gap(all, c.curve)
	out.Unproved = out.Unproved || !e.Done
	cut := slices.ContainsFunc(out.Findings, func(f Finding) bool { return f.Code == "CORNER_CUT" || f.Code == "PATH_OFF" })
	if e.Lo > allowed && !cut {
		c.add(x, out, "SQUARE_OPEN", t.last, millimetres(e.Lo, e.Hi), exact(allowed, "mm"), nil,
			"a stretch of the figure is never passed: the tool stays %s away from it", mm(e.Lo))
		return
	}
	// Ends that nearly meet are meant to: what is left between them is measured
	// more closely than the cover of a side.
	start, end := x.Motion.Steps[t.start].Target.T, x.Motion.Steps[t.last].Target.T
	if !c.closed || start.Sub(end).Norm() > meantFor {
		return
	}
	head := slices.Concat(t.in, x.spans(func(p *motion.Piece) bool { return p.Step == t.first && p.Kind != motion.Rest }))
	tail := slices.Concat(x.spans(func(p *motion.Piece) bool { return p.Step == t.last && p.Kind != motion.Rest }), t.out)
	back, past := x.Sweep.Nearest(tail, start), x.Sweep.Nearest(head, end)
	out.Unproved = out.Unproved || !back.Done || !past.Done
	open := math.Min(back.Lo, past.Lo)
	if open > c.gap {
		c.add(x, out, "SQUARE_OPEN", t.last, exact(open, "mm"), exact(c.gap, "mm"), nil,
			"the trace ends %s from where it began, at most %s is allowed", mm(open), mm(c.gap))
	}
}

// pace judges the speed away from corners and ends.
func (c *traces) pace(x *Exam, out *Outcome, t trace) {
	if c.speed == 0 {
		return
	}
	least, most := c.speed*(1-c.steady), c.speed*(1+c.steady)
	slowed := append([]kin.Vec{x.Motion.Steps[t.start].Target.T, x.Motion.Steps[t.last].Target.T}, c.line...)
	var spans []sweep.Span
	for _, s := range t.along(x, notCorner) {
		spans = append(spans, clearOf(x, s, slowed, c.away)...)
	}
	limit := Value{least, most, "mm/s"}
	fast := x.perStep(spans, x.Sweep.ToolSpeed,
		func(e sweep.Extreme) bool { return e.Lo > most },
		func(step int, e sweep.Extreme) {
			c.add(x, out, "SPEED_UNSTEADY", step, Value{e.Lo, e.Hi, "mm/s"}, limit, &e.At,
				"the tool reaches %s on a side, asked is %s to %s", mms(e.Lo), mms(least), mms(most))
		})
	slow := x.perStep(spans, x.Sweep.SlowestTool,
		func(e sweep.Extreme) bool { return e.Hi < least },
		func(step int, e sweep.Extreme) {
			c.add(x, out, "SPEED_UNSTEADY", step, Value{e.Lo, e.Hi, "mm/s"}, limit, &e.At,
				"the tool slows to %s on a side, asked is %s to %s", mms(e.Hi), mms(least), mms(most))
		})
	out.Unproved = out.Unproved || !fast.None && !fast.Done || !slow.None && !slow.Done
}

// clearOf cuts from a span what lies within a distance of some points. It works
// on lines, whose parameter is their length; on arcs it cuts by the same length
// along the arc, which is a little less than the distance allows.
func clearOf(x *Exam, s sweep.Span, points []kin.Vec, away float64) []sweep.Span {
	path := x.Motion.Pieces[s.Piece].Path
	var a, b motion.Eval
	path.At(s.S0, &a)
	path.At(s.S1, &b)
	left := []sweep.Span{s}
	way := b.TCP.T.Sub(a.TCP.T)
	if x.Motion.Pieces[s.Piece].Kind != motion.LineMove || way.Norm() == 0 {
		s.S0, s.S1 = s.S0+away, s.S1-away
		if s.S0 >= s.S1 {
			return nil
		}
		return []sweep.Span{s}
	}
	dir := way.Unit()
	for _, p := range points {
		at := s.S0 + p.Sub(a.TCP.T).Dot(dir)
		off := p.Sub(a.TCP.T).AddScaled(-(at - s.S0), dir).Norm()
		if off >= away {
			continue
		}
		reach := math.Sqrt(away*away - off*off)
		var rest []sweep.Span
		for _, l := range left {
			if before := (sweep.Span{Piece: l.Piece, S0: l.S0, S1: math.Min(l.S1, at-reach)}); before.S1 > before.S0 {
				rest = append(rest, before)
			}
			if after := (sweep.Span{Piece: l.Piece, S0: math.Max(l.S0, at+reach), S1: l.S1}); after.S1 > after.S0 {
				rest = append(rest, after)
			}
		}
		left = rest
	}
	return left
}

// upright judges the tilt of the tool against the figure's plane.
func (c *traces) upright(x *Exam, out *Outcome, t trace) {
	if c.tilt == 0 {
		return
	}
	e := x.perStep(t.along(x, anyPiece),
		func(s []sweep.Span) sweep.Extreme { return x.Sweep.Tilt(s, c.normal.Scale(-1)) },
		func(e sweep.Extreme) bool { return e.Lo > c.tilt },
		func(step int, e sweep.Extreme) {
			c.add(x, out, "TILT_DRIFT", step, degrees(e.Lo, e.Hi), degrees(c.tilt, c.tilt), &e.At,
				"the tool is tilted by %s, at most %s is allowed", deg(e.Lo), deg(c.tilt))
		})
	out.Unproved = out.Unproved || !e.None && !e.Done
}

// leads judges that the tool runs in from beside the figure, in its plane, and
// runs out the same way.
func (c *traces) leads(x *Exam, out *Outcome, t trace) {
	if c.lead == 0 {
		return
	}
	before := x.lastMove(t.start)
	in := before >= 0 && c.beside(x, before) && x.Motion.Steps[t.start].Source.Path == program.Line
	if !in {
		c.add(x, out, "NO_LEAD_IN", t.start, Value{}, exact(c.lead, "mm"), nil,
			"the trace is not run into on a line from a point at least %s outside the figure", mm(c.lead))
	}
	after := x.nextMove(t.last)
	if after < 0 || !c.beside(x, after) || x.Motion.Steps[after].Source.Path != program.Line {
		step := t.last
		if after >= 0 {
			step = after
		}
		c.add(x, out, "NO_LEAD_IN", step, Value{}, exact(c.lead, "mm"), nil,
			"the trace is not left on a line to a point at least %s outside the figure", mm(c.lead))
	}
	// Before and after the trace the tool comes down and lifts off beside the
	// figure too.
	moves := x.moves()
	for k := 1; k < len(moves); k++ {
		from, to := moves[k-1], moves[k]
		if from >= t.start && to <= t.last {
			continue // within the trace; its distance from the figure is judged
		}
		above := math.Abs(c.height(x.Motion.Steps[from].Target.T)) > inPlane
		below := math.Abs(c.height(x.Motion.Steps[to].Target.T)) <= inPlane
		switch {
		case above && below && to != t.start && !c.beside(x, to):
			c.add(x, out, "NO_LEAD_IN", to, Value{}, exact(c.lead, "mm"), nil,
				"the tool comes down less than %s outside the figure", mm(c.lead))
		case !above && !below && from != t.last && !c.beside(x, from):
			c.add(x, out, "NO_LEAD_IN", to, Value{}, exact(c.lead, "mm"), nil,
				"the tool lifts off less than %s outside the figure", mm(c.lead))
		}
	}
}

// beside reports whether a move ends in the figure's plane, outside the figure
// and far enough from it.
func (c *traces) beside(x *Exam, step int) bool {
	p := x.Motion.Steps[step].Target.T
	return math.Abs(c.height(p)) <= inPlane && !c.inside(p) && c.distance(p) >= c.lead-lengthSlack
}
