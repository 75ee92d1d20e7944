package page

import (
	"math"
	"slices"

	"posework/engine/motion"
	"posework/engine/shape"
	"posework/grader"
	"posework/kin"
)

// stage is a motion made ready to be drawn: its bodies, its samples, the space
// that pictures show.
type stage struct {
	exam     *grader.Exam
	graphs   *grader.Graphs
	by, rank []int          // of the findings, as folded has them
	states   []motion.State // at graphs.Times
	way      []waypoint     // the path of the tool
	until    float64        // s: the end of the path, before that of a very long motion

	links []carried // of the arm
	tools [][]carried
	parts []body    // in their own frames
	loose []bool    // parts that change their place
	fixed []thing   // solids and parts that stay
	frame [2]bounds // shown space: from above, from the side

	depths [2]struct{ lo, hi float64 } // of what moves, towards the viewer
}

// waypoint is a place on the way of the tool.
type waypoint struct {
	t, v float64 // s, mm/s
	q    kin.Joints
	tcp  kin.Vec
}

// carried is a body that a link carries, in its frame.
type carried struct {
	link int
	body body
}

// thing is a named body in the world frame.
type thing struct {
	name string
	kind string // class of its picture: solid, part
	body body
}

var views = [2]*view{&above, &aside}

// mostShown is how many findings pictures and graphs show, with their repetitions.
const mostShown = 80

// samples is how many moments of a motion are evaluated for pictures and graphs.
const samples = 240

// newStage evaluates a motion, nil when nothing moves.
func newStage(a *Attempt) *stage {
	if a.Exam == nil || a.Mark == nil {
		return nil
	}
	var moments []float64
	for i := range a.Mark.Findings[:min(len(a.Mark.Findings), mostShown)] {
		moments = append(moments, a.Mark.Findings[i].From, a.Mark.Findings[i].To)
	}
	s := &stage{exam: a.Exam}
	s.by, s.rank = folded(a.Mark.Findings)
	s.follow()
	if s.graphs = a.Exam.Graphs(s.until, samples, moments); s.graphs == nil {
		return nil
	}
	s.states = make([]motion.State, len(s.graphs.Times))
	for i, t := range s.graphs.Times {
		a.Exam.Motion.At(t, &s.states[i])
	}
	s.bodies()
	s.frames()
	return s
}

// mostWaypoints bounds the way: a program of thousands of steps is drawn and
// replayed as far as that goes, instead of all of it wrongly.
const mostWaypoints = 3000

// follow samples the way piece by piece, so that none is cut short by a chord
// across others.
func (s *stage) follow() {
	pieces := s.exam.Motion.Pieces
	var st motion.State
	add := func(t float64) {
		s.exam.Motion.At(t, &st)
		s.way = append(s.way, waypoint{t, st.ToolVel.Norm(), st.Q, st.TCP.T})
	}
	for i := range pieces {
		p := &pieces[i]
		if len(s.way) >= mostWaypoints {
			s.until = p.Start
			add(s.until)
			return
		}
		n := 1
		if p.Kind != motion.Rest {
			n = int(min(max((p.End-p.Start)/0.05, 4), 40))
		}
		for k := range n {
			add(p.Start + (p.End-p.Start)*float64(k)/float64(n))
		}
	}
	s.until = s.exam.Motion.Duration
	add(s.until)
}

func (s *stage) bodies() {
	c := s.exam.Cell
	for i := range c.Arm.Solids {
		of := shape.OfLink(&c.Arm.Solids[i])
		if b, ok := bodyOf(&of); ok {
			s.links = append(s.links, carried{c.Arm.Solids[i].Link, b})
		}
	}
	s.tools = make([][]carried, len(c.Tools))
	for i := range c.Tools {
		for k := range c.Tools[i].Solids {
			if b, ok := bodyOf(&c.Tools[i].Solids[k].Shape); ok {
				s.tools[i] = append(s.tools[i], carried{6, b})
			}
		}
	}
	for i := range c.Solids {
		if b, ok := bodyOf(&c.Solids[i].Shape); ok {
			s.fixed = append(s.fixed, thing{c.Solids[i].Name, "solid", b})
		}
	}
	scenes := s.exam.Motion.Scenes
	for i := range c.Parts {
		b, _ := bodyOf(&c.Parts[i].Shape)
		s.parts = append(s.parts, b)
		moves := slices.ContainsFunc(scenes, func(sc motion.Scene) bool { return sc.Held == i || sc.Parts[i].Pose != scenes[0].Parts[i].Pose })
		s.loose = append(s.loose, moves)
		if !moves {
			s.fixed = append(s.fixed, thing{c.Parts[i].Name, "part", b.move(&c.Parts[i].Pose)})
		}
	}
}

// margin is what pictures show beyond the work, mm.
const margin = 90

// frames chooses the space that is shown: all that moves, and solids as far as
// they lie near it. Both views share the width, so that they stand in line.
func (s *stage) frames() {
	for k, v := range views {
		r := &s.frame[k]
		s.depths[k].lo, s.depths[k].hi = math.Inf(1), math.Inf(-1)
		s.eachMoving(func(b *body) {
			v.bounds(b, r)
			near, far := depth(v, b)
			s.depths[k].lo, s.depths[k].hi = min(s.depths[k].lo, far), max(s.depths[k].hi, near)
		})
		for i := range s.exam.Cell.Frames {
			r.add(v.across(s.exam.Cell.Frames[i].Pose.T), 30)
		}
		work := *r
		for i := range s.fixed {
			var all bounds
			v.bounds(&s.fixed[i].body, &all)
			near := func(p point) point {
				return point{min(max(p.x, work.lo.x-margin), work.hi.x+margin), min(max(p.y, work.lo.y-margin), work.hi.y+margin)}
			}
			r.add(near(all.lo), 0)
			r.add(near(all.hi), 0)
		}
		if f := s.exam.Cell.Floor; k == 1 && f.Exists {
			r.add(point{work.lo.x, min(-f.Z, work.hi.y+margin)}, 0)
		}
	}
	lo, hi := min(s.frame[0].lo.x, s.frame[1].lo.x), max(s.frame[0].hi.x, s.frame[1].hi.x)
	for k := range s.frame {
		r := &s.frame[k]
		r.lo, r.hi = point{lo - 30, r.lo.y - 30}, point{hi + 30, r.hi.y + 30}
	}
}

// eachMoving calls f with the bodies of arm, tool and held part along the motion.
func (s *stage) eachMoving(f func(*body)) {
	for i := 0; i < len(s.states); i += max(1, len(s.states)/40) {
		for _, t := range s.pose(&s.states[i]) {
			f(&t.body)
		}
	}
	last := s.pose(&s.states[len(s.states)-1])
	for i := range last {
		f(&last[i].body)
	}
}

// pose returns everything that can move where it is at a moment: the arm from
// the base on, its tool, loose parts.
func (s *stage) pose(st *motion.State) (all []thing) {
	tool := -1
	if st.Piece >= 0 {
		tool = s.exam.Motion.Tools[s.exam.Motion.Pieces[st.Piece].Tool].Body
	}
	for i := range s.parts {
		if !s.loose[i] || len(s.parts[i].points) == 0 {
			continue
		}
		at := st.Scene.Parts[i].Pose
		if st.Scene.Held == i {
			at = st.Frames[6].Mul(&at)
		}
		all = append(all, thing{s.exam.Cell.Parts[i].Name, "part", s.parts[i].move(&at)})
	}
	for _, l := range s.links {
		all = append(all, thing{"", "arm", l.body.move(&st.Frames[l.link])})
	}
	if tool >= 0 && tool < len(s.tools) {
		for _, l := range s.tools[tool] {
			all = append(all, thing{"", "tool", l.body.move(&st.Frames[6])})
		}
	}
	return all
}

// box is the viewBox of a view.
func (s *stage) box(k int) string {
	r := &s.frame[k]
	return num(math.Floor(r.lo.x)) + " " + num(math.Floor(r.lo.y)) + " " + num(math.Ceil(r.hi.x-r.lo.x)) + " " + num(math.Ceil(r.hi.y-r.lo.y))
}

// world gives a place in the base frame, as findings have it, in the world.
func (s *stage) world(p kin.Vec) kin.Vec { return s.exam.Cell.Mount.Apply(p) }

// at returns the index of the sample at or next before a time.
func (s *stage) at(t float64) int {
	i, found := slices.BinarySearch(s.graphs.Times, t)
	if !found {
		i--
	}
	return max(0, min(i, len(s.graphs.Times)-1))
}

// step is the label of the step that runs at a sample.
func (s *stage) step(i int) string {
	if k := s.states[i].Step; k >= 0 {
		return s.exam.Motion.Steps[k].Label
	}
	return ""
}
