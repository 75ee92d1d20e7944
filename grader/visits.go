package grader

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/sweep"
	"posework/kin"
)

// visits: poses are reached in order, within position and angle tolerances, by
// stop or fly-by as asked, with the right tool.
type visits struct {
	points []visit
	tool   string // "": any
}

type visit struct {
	name          string
	at            kin.Pose // world to tool centre point
	within, angle float64  // mm, rad
	by            by
	rest          float64 // s that the arm stands there at least; 0: as long as it likes
}

type by uint8

const (
	byStop by = iota
	byFlyBy
	byEither
)

func decodeVisits(d *decoder) Check {
	c := visits{tool: d.carried()}
	for _, n := range d.m.Need("poses").List() {
		m := n.Map()
		at := m.Need("at")
		v := visit{
			at: d.place(at), name: d.placeName(at),
			within: d.positive(m.Get("within"), (*sourceNode).MM, 1),
			angle:  d.positive(m.Get("angle"), (*sourceNode).Deg, kin.Rad(1)),
		}
		if b := m.Get("by"); b != nil {
			v.by = by(max(0, b.OneOf("stop", "fly-by", "either")))
		}
		if b := m.Get("name"); b != nil {
			v.name = b.Str()
		}
		v.rest = d.positive(m.Get("rest"), (*sourceNode).Seconds, 0)
		m.Close()
		c.points = append(c.points, v)
	}
	if n := d.m.Get("times"); n != nil {
		c.points = slices.Repeat(c.points, n.Int(1, 100))
	}
	return c
}

// placeName says where a pose of the task is, in the words of the lesson.
func (d *decoder) placeName(n *sourceNode) string {
	m := n.Map()
	xyz := m.Get("xyz").Vec()
	frame := "base"
	if f := m.Get("frame"); f != nil {
		frame = f.Str()
	}
	return fmt.Sprintf("the pose at (%g, %g, %g) in %s", xyz.X, xyz.Y, xyz.Z, frame)
}

func (c visits) Title() string {
	t := fmt.Sprintf("%d poses reached in order", len(c.points))
	if len(c.points) == 1 {
		t = "one pose reached"
	}
	if c.tool != "" {
		t += ", with tool " + c.tool
	}
	return t
}

func (c visits) Run(x *Exam) Outcome {
	var out Outcome
	moves := x.arrivals()
	from := 0         // index into moves of the first one not yet used
	var visited []int // the moves that were used
	for i := range c.points {
		v := &c.points[i]
		j, miss := v.find(x, &out, moves[from:])
		if j < 0 {
			if miss == nil {
				f := x.missed("visits", v.name, &v.at, v.within, moves[from:])
				if x.Motion.Halt == nil && v.among(x, moves[:from]) {
					f.Text = v.name + " is reached, but not when its turn has come: the poses have an order, and each counts once"
				}
				miss = &f
			}
			out.Findings = append(out.Findings, *miss)
			continue
		}
		visited = append(visited, moves[from+j])
		if step := moves[from+j]; v.rest > 0 {
			if still := x.restAfter(step); still < v.rest-timeSlack {
				f := x.finding("visits", "LEFT_TOO_SOON", step)
				f.Subject = v.name
				f.Measured, f.Limit = exact(still, "s"), exact(v.rest, "s")
				f.Text = fmt.Sprintf("the arm stands at %s for %.3g s, at least %.3g s is asked", v.name, still, v.rest)
				out.Findings = append(out.Findings, f)
			}
		}
		from += j + 1
	}
	x.carries(&out, "visits", c.tool, visited)
	return out
}

// restAfter returns how long the arm stands still at the end of an executed move;
// infinity when nothing moves it afterwards.
func (x *Exam) restAfter(step int) float64 {
	s := &x.Motion.Steps[step]
	for i := s.Last; i < len(x.Motion.Pieces); i++ {
		if p := &x.Motion.Pieces[i]; p.Kind != motion.Rest && p.End > p.Start {
			return p.Start - s.End
		}
	}
	return math.Inf(1)
}

// carried reads the tool that the arm carries in the task, "" where it does not
// say.
func (d *decoder) carried() string {
	if n := d.m.Get("tool"); n != nil {
		if i := oneOf(n, "tools", d.cell.Tools, func(t cell.Tool) string { return t.Name }); i >= 0 {
			return d.cell.Tools[i].Name
		}
	}
	return ""
}

// carries tells of the first of some moves that moves another tool than the one
// that the arm carries.
func (x *Exam) carries(out *Outcome, check, tool string, moves []int) {
	if tool == "" {
		return
	}
	for _, step := range moves {
		if is := x.toolOf(step); is != tool {
			f := x.finding(check, "WRONG_TOOL_SELECTED", step)
			f.Subject = tool
			f.Text = fmt.Sprintf("the program moves tool %s, but the arm carries %s", is, tool)
			out.Findings = append(out.Findings, f)
			return
		}
	}
}

// toolOf returns the name of the tool that an executed step moves. A tool that
// the program has taught itself stands on one of the cell.
func (x *Exam) toolOf(step int) string {
	t := &x.Motion.Tools[x.Motion.Steps[step].Tool]
	if t.Body < 0 {
		return t.Name
	}
	return x.Cell.Tools[t.Body].Name
}

// find returns the first of the moves that visits the pose. When none does, it
// returns -1 and the finding for the one that came nearest to doing so, if any
// went to the right place.
func (v *visit) find(x *Exam, out *Outcome, moves []int) (int, *Finding) {
	var miss *Finding
	note := func(f Finding) {
		if miss == nil {
			f.Subject = v.name
			miss = &f
		}
	}
	for j, i := range moves {
		s := &x.Motion.Steps[i]
		distance, angle := apart(&s.Target, &v.at)
		if distance > v.within+lengthSlack {
			continue
		}
		flies := s.Source.FlyBy > 0
		rounded := x.rounding(i)
		switch {
		case angle > v.angle+angleSlack:
			f := x.finding("visits", "ORIENTATION_OFF", i)
			f.Measured, f.Limit = degrees(angle, angle), degrees(v.angle, v.angle)
			f.Text = fmt.Sprintf("the tool is %s off at %s, at most %s is allowed", deg(angle), v.name, deg(v.angle))
			note(f)
		case v.by == byStop && flies:
			note(x.blendAtWork("visits", i))
		case v.by == byFlyBy && len(rounded) == 0:
			f := x.finding("visits", "STOP_IN_FREE_AIR", i)
			f.Pos = s.Source.EndPos
			f.Text = fmt.Sprintf("the arm stops at %s, which the task asks to pass without stopping", v.name)
			if flies {
				f.Text += ": after the fly-by nothing goes on"
			}
			note(f)
		case len(rounded) > 0:
			e := x.Sweep.Nearest(rounded, v.at.T)
			if e.Lo <= v.within {
				// So it passes for all that is known where the examination could not
				// finish.
				out.Unproved = out.Unproved || !e.Done && e.Hi > v.within
				return j, nil
			}
			f := x.finding("visits", "TARGET_MISSED", i)
			f.Measured, f.Limit = Value{e.Lo, e.Hi, "mm"}, exact(v.within, "mm")
			f.Text = fmt.Sprintf("the fly-by at %s passes it at %s, at most %s is allowed", s.Source.To.Name, mm(e.Lo), mm(v.within))
			note(f)
		default:
			return j, nil
		}
	}
	return -1, miss
}

// among reports whether one of some moves goes to the place of the pose.
func (v *visit) among(x *Exam, moves []int) bool {
	return slices.ContainsFunc(moves, func(i int) bool {
		distance, _ := apart(&x.Motion.Steps[i].Target, &v.at)
		return distance <= v.within+lengthSlack
	})
}

// rounding returns the rounding of a fly-by at the end of an executed move; none
// where the arm stops there, as it does at a stop-point, and at a fly-by that no
// move follows or that leaves no room for one.
func (x *Exam) rounding(step int) []sweep.Span {
	return x.spans(func(p *motion.Piece) bool { return p.Step == step && p.Kind == motion.Corner })
}

// cycleTime: the program finishes in time.
type cycleTime struct{ limit float64 } // s

func decodeCycleTime(d *decoder) Check {
	return cycleTime{d.positive(d.m.Need("at-most"), (*sourceNode).Seconds, 0)}
}

func (c cycleTime) Title() string { return fmt.Sprintf("finished within %.4g s", c.limit) }

func (c cycleTime) Run(x *Exam) Outcome {
	out := Outcome{Measured: exact(x.Motion.Duration, "s")}
	if x.Motion.Duration > c.limit+timeSlack || x.Motion.Halt != nil {
		f := x.finding("cycle-time", "CYCLE_TARGET", -1)
		f.Limit = exact(c.limit, "s")
		if x.Motion.Halt != nil {
			f.Text = "the program never comes to its end"
		} else {
			f.Measured = out.Measured
			f.Text = fmt.Sprintf("the program takes %.4g s, at most %.4g s is asked", x.Motion.Duration, c.limit)
		}
		out.Findings = append(out.Findings, f)
	}
	return out
}
