package grader

import (
	"fmt"
	"math"

	"posework/engine/motion"
	"posework/engine/program"
	"posework/engine/sweep"
	"posework/kin"
)

// stretch is the straight run to or from a work pose: its thresholds, shared by
// approach and retract.
type stretch struct {
	at          kin.Pose // work pose: world to tool centre point
	name        string
	oriented    bool    // the task says how the tool points there
	near        float64 // mm: a stop this close to it is a visit
	least, most float64 // mm of straight line
	angle       float64 // rad between the line and the tool axis
	slow        float64 // mm next to the pose that must be slow
	limit       float64 // mm/s there; 0: no limit
}

func (d *decoder) stretch() stretch {
	const slow = 50 // mm
	s := stretch{
		near:  d.mm("near", 5),
		angle: d.deg("angle", kin.Rad(2)),
		limit: d.mms("at-most", 0),
		most:  math.Inf(1),
	}
	at := d.m.Need("at")
	s.at = d.place(at)
	if at != nil {
		s.name = d.placeName(at)
		s.oriented = at.Map().Get("rpy") != nil
	}
	if n := d.m.Get("along"); n != nil {
		n.OneOf("tool-axis")
	}
	s.slow = d.mm("slow", slow)
	s.least = s.slow
	if n := d.m.Get("from"); n != nil {
		l := n.List()
		if len(l) != 2 {
			n.Errorf("T008", "write from: [50 mm, 100 mm]", "from needs the least and the greatest length of the straight line")
			return s
		}
		s.least, s.most = l[0].MM(), l[1].MM()
		if d.m.Get("slow") == nil {
			s.slow = math.Min(slow, s.least)
		}
	}
	// What must be slow lies on the straight line, where it is measured.
	d.n.Check(s.limit == 0 || s.slow > 0 && s.slow <= s.least, "T016", "ask for a straight line that is no shorter",
		"at-most holds for %s next to the pose, but a straight line of %s is asked", mm(s.slow), mm(s.least))
	return s
}

// run is the straight way to or from the work pose: its length in mm, and the
// spans of its slow part.
type run struct {
	length float64
	first  float64 // length of the line of the step next to the pose
	slow   []sweep.Span
	// What the piece next to the pose is, and how much it is tilted, rad; of a line
	// on which the tool turns a part may belong to the run all the same.
	why  straightness
	tilt float64
}

type straightness uint8

const (
	straight straightness = iota
	notLine               // the piece next to the pose is no line
	tilted                // it is a line, but not along the tool axis
)

// wayTo returns the straight way to the work pose before a stay that a move has
// brought about.
func (s *stretch) wayTo(x *Exam, v *stay) run {
	return s.measure(x, x.Motion.Steps[v.came].Last-1, -1, x.tip(v.came))
}

// wayFrom returns the straight way out after a stay, of which next is the first
// move.
func (s *stretch) wayFrom(x *Exam, v *stay, next int) run {
	r := s.measure(x, x.Motion.Steps[next].First, 1, x.tip(v.left))
	// What it did at the pose in between is slow as well.
	r.slow = append(r.slow, x.spans(func(p *motion.Piece) bool { return p.Step > v.came && p.Step <= v.left })...)
	return r
}

// measure follows the motion away from the work pose, outwards: backwards in
// time from piece index i for an approach (step -1), forwards for a retract
// (step 1). tip is where the tool is at the pose. A piece continues the run when
// it goes straight along the tool axis there, and leaves the tool as it is turned
// there; so does the rounding between two such lines.
func (s *stretch) measure(x *Exam, i, step int, tip kin.Pose) run {
	var r run
	nextTo := -1 // the step next to the pose
	for ; i >= 0 && i < len(x.Motion.Pieces); i += step {
		p := &x.Motion.Pieces[i]
		s0, s1 := ends(p)
		if p.Kind == motion.Rest || s1 == s0 {
			continue
		}
		if nextTo < 0 {
			nextTo = p.Step
		}
		why, tilt := s.along(x, p, step, &tip)
		if why == notLine && r.length > 0 && p.Kind == motion.LineMove && tilt <= s.angle+angleSlack {
			continue // the tool turns a little on the spot
		}
		if why != straight && r.length == 0 {
			r.why, r.tilt = why, tilt
		}
		length := s.unturned(p, why, step, &tip)
		if open := math.Min(length, s.slow-r.length); open > 0 {
			span := sweep.Span{Piece: i, S0: s1 - open, S1: s1}
			if step > 0 {
				span.S0, span.S1 = s0, s0+open
			}
			r.slow = append(r.slow, span)
		}
		r.length += length
		if p.Step == nextTo {
			r.first += s1 - s0
		}
		if why != straight {
			return r
		}
	}
	return r
}

// unturned returns how much of a piece, from its end next to the pose, belongs to
// the run: all that is straight, and of a line on which the tool turns what comes
// before it is turned too far.
func (s *stretch) unturned(p *motion.Piece, why straightness, step int, tip *kin.Pose) float64 {
	s0, s1 := ends(p)
	switch {
	case why == straight:
		return s1 - s0
	case why == notLine || p.Kind != motion.LineMove:
		return 0
	}
	near, far := s0, s1
	if step < 0 {
		near, far = s1, s0
	}
	fits := func(at float64) bool {
		turned, off, _ := lean(p, at, step, tip)
		return math.Max(turned, off) <= s.angle+angleSlack
	}
	if !fits(near) {
		return 0
	}
	// The tool turns about one axis on a line: it does not come back.
	from := near
	for math.Abs(far-near) > lengthSlack {
		if middle := near + (far-near)/2; fits(middle) {
			near = middle
		} else {
			far = middle
		}
	}
	return math.Abs(near - from)
}

// along judges one piece: whether it goes straight, and the greatest angle that
// its direction makes with the tool axis at the pose, or that the tool is turned
// by from there.
//
// The direction of a rounding lies between those of its lines, which are those
// at its ends.
func (s *stretch) along(x *Exam, p *motion.Piece, step int, tip *kin.Pose) (straightness, float64) {
	s0, s1 := ends(p)
	line := p.Kind == motion.LineMove
	if p.Kind == motion.Corner {
		from, to := x.joined(p)
		line = from == program.Line && to == program.Line
	}
	tilt := 0.0
	for _, at := range [2]float64{s0, s1} {
		turned, off, moves := lean(p, at, step, tip)
		tilt = math.Max(tilt, turned)
		if line = line && moves; line {
			tilt = math.Max(tilt, off)
		}
	}
	switch {
	case !line:
		return notLine, tilt
	case tilt > s.angle+angleSlack:
		return tilted, tilt
	}
	return straight, tilt
}

// lean returns how far the tool is turned at a place of a piece from how it is at
// the pose, and how far the way there is off the tool axis at the pose, both in rad;
// moves is false where the tool turns on the spot and has no way.
func lean(p *motion.Piece, at float64, step int, tip *kin.Pose) (turned, off float64, moves bool) {
	var e motion.Eval
	p.Path.At(at, &e)
	_, turned = apart(tip, &e.TCP)
	// A tool that turns on the spot hardly moves for every rad.
	return turned, e.V.Scale(-float64(step)).Angle(tip.R.Z), e.V.Norm() > 0.5
}

// approach: the last millimetres to a pose are a slow straight line along the
// tool axis, ended by a stop-point.
type approach struct{ stretch }

func decodeApproach(d *decoder) Check { return approach{d.stretch()} }

func (c approach) Title() string { return "straight, slow approach to " + c.name }

func (c approach) Run(x *Exam) Outcome {
	var out Outcome
	came := false
	for _, v := range c.stays(x) {
		i := v.came
		if i == atStart {
			continue
		}
		came = true
		if s := x.Motion.Steps[i].Source; s.FlyBy > 0 {
			out.Findings = append(out.Findings, x.blendAtWork("approach", i))
			continue
		}
		target := &x.Motion.Steps[i].Target
		if off := target.R.Z.Angle(c.at.R.Z); c.oriented && off > c.angle+angleSlack {
			f := x.finding("approach", "ORIENTATION_OFF", i)
			f.Measured, f.Limit, f.Subject = degrees(off, off), degrees(c.angle, c.angle), c.name
			f.Text = fmt.Sprintf("the tool axis is %s off at %s, at most %s is allowed", deg(off), c.name, deg(c.angle))
			out.Findings = append(out.Findings, f)
		}
		c.judge(x, &out, i, c.wayTo(x, &v), wayIn)
	}
	if !came {
		out.Findings = append(out.Findings, x.missed("approach", c.name, &c.at, c.near, x.moves()))
	}
	return out
}

// way names the codes and words of one direction.
type way struct {
	check, none, low, high, tilted, fast string
	words                                string
}

var (
	wayIn  = way{"approach", "NO_APPROACH", "APPROACH_TOO_LOW", "APPROACH_TOO_HIGH", "APPROACH_TILTED", "FAST_APPROACH", "to"}
	wayOut = way{"retract", "NO_RETRACT", "RETRACT_TOO_LOW", "", "RETRACT_TILTED", "FAST_RETRACT", "from"}
)

func (s *stretch) judge(x *Exam, out *Outcome, step int, r run, w way) {
	add := func(code string, measured, limit Value, format string, args ...any) {
		f := x.finding(w.check, code, step)
		f.Measured, f.Limit = measured, limit
		f.Subject = s.name
		f.Text = fmt.Sprintf(format, args...)
		out.Findings = append(out.Findings, f)
	}
	switch {
	case r.why == notLine:
		add(w.none, exact(0, "mm"), exact(s.least, "mm"), "the stretch %s %s is not a straight line", w.words, s.name)
		return
	case r.why == tilted && r.length < s.least-lengthSlack:
		add(w.tilted, degrees(r.tilt, r.tilt), degrees(s.angle, s.angle), "the line %s %s is %s off the tool axis", w.words, s.name, deg(r.tilt))
		return
	case r.length < s.least-lengthSlack:
		add(w.low, exact(r.length, "mm"), exact(s.least, "mm"), "the straight line %s %s is %s long, at least %s is asked", w.words, s.name, mm(r.length), mm(s.least))
	case w.high != "" && r.first > s.most+lengthSlack:
		add(w.high, exact(r.first, "mm"), exact(s.most, "mm"), "the straight line %s %s is %s long, at most %s is asked", w.words, s.name, mm(r.first), mm(s.most))
	}
	if s.limit == 0 {
		return
	}
	e := x.Sweep.ToolSpeed(r.slow)
	v := Value{e.Lo, e.Hi, "mm/s"}
	if over(v, out.Measured) {
		out.Measured = v
	}
	out.Unproved = out.Unproved || !e.Done
	if e.Lo > s.limit {
		step = x.Motion.Pieces[e.At.Piece].Step // the run may be made of several lines
		add(w.fast, v, exact(s.limit, "mm/s"), "%s within %s of %s, at most %s is allowed", mms(e.Lo), mm(s.slow), s.name, mms(s.limit))
		last := &out.Findings[len(out.Findings)-1]
		x.locate(last, e.At)
	}
}

// retract: the first millimetres from a pose are a slow straight line back
// along the tool axis.
type retract struct{ stretch }

func decodeRetract(d *decoder) Check { return retract{d.stretch()} }

func (c retract) Title() string { return "straight way out from " + c.name }

func (c retract) Run(x *Exam) Outcome {
	var out Outcome
	stays := c.stays(x)
	if len(stays) == 0 {
		out.Findings = append(out.Findings, x.missed("retract", c.name, &c.at, c.near, x.moves()))
	}
	for _, v := range stays {
		next := x.nextMove(v.left)
		if next < 0 {
			f := x.finding("retract", "NO_RETRACT", v.left)
			f.Subject = c.name
			f.Text = "the program ends at " + c.name
			out.Findings = append(out.Findings, f)
			continue
		}
		c.judge(x, &out, next, c.wayFrom(x, &v, next), wayOut)
	}
	return out
}

// nextMove returns the first executed move after step, or -1.
func (x *Exam) nextMove(step int) int {
	for i := step + 1; i < len(x.Motion.Steps); i++ {
		if x.Motion.Steps[i].Source.Kind == program.Move {
			return i
		}
	}
	return -1
}

// missed is the finding for a pose of the task that none of some moves goes to:
// none ends within a distance of it, in mm.
func (x *Exam) missed(check, name string, at *kin.Pose, within float64, moves []int) Finding {
	f := x.finding(check, "TARGET_MISSED", -1)
	f.Subject = name
	f.Place, f.HasPlace = x.inBase(at.T), true
	if x.Motion.Halt != nil {
		f.Text = "the motion stops before it comes to " + name
		return f
	}
	f.Text = "no move goes to " + name
	f.Limit = exact(within, "mm")
	best, step := math.Inf(1), -1
	for _, i := range moves {
		if d, _ := apart(&x.Motion.Steps[i].Target, at); d < best {
			best, step = d, i
		}
	}
	if step >= 0 {
		f.Measured = exact(best, "mm")
		f.Text += fmt.Sprintf("; the nearest, %s, ends %s away", x.Motion.Steps[step].Source.To.Name, mm(best))
	}
	return f
}

func (x *Exam) blendAtWork(check string, step int) Finding {
	f := x.finding(check, "BLEND_AT_WORK_POSE", step)
	s := x.Motion.Steps[step].Source
	f.Pos = s.EndPos
	f.Measured, f.Limit = exact(s.FlyBy, "mm"), exact(0, "mm")
	f.Text = fmt.Sprintf("pose %s is passed with a fly-by of %s where the arm must come to rest", s.To.Name, mm(s.FlyBy))
	return f
}
