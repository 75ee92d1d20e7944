package motion

import (
	"fmt"
	"math"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/program"
	"posework/kin"
)

// names resolves what a program names against its own definitions and the cell.
// The program's own come first.
type names struct {
	c *cell.Cell
	p *program.Program
	l *diag.List

	tools   []Tool
	taught  []TaughtTool
	frames  []TaughtFrame
	known   map[string]*kin.Pose // taught frames that are done; nil: being worked out
	bad     map[string]bool      // names already reported
	arm     *levers              // for poses by axes before any step runs: the program's tool
	poses   map[string]*program.Pose
	signals map[string]int
}

func newNames(c *cell.Cell, p *program.Program, l *diag.List) *names {
	n := &names{
		c: c, p: p, l: l,
		known: map[string]*kin.Pose{}, bad: map[string]bool{},
		poses: map[string]*program.Pose{}, signals: map[string]int{},
	}
	for i := range p.Poses {
		n.poses[p.Poses[i].Name] = &p.Poses[i]
	}
	for i := range c.Signals {
		n.signals[c.Signals[i].Name] = i
	}
	for i := range c.Tools {
		n.tools = append(n.tools, Tool{Name: c.Tools[i].Name, TCP: c.Tools[i].TCP, Body: i})
	}
	return n
}

// bare is the name of the flange used as a tool, where a cell has none.
const bare = "flange"

// tool returns the index of a tool, -1 when there is none of that name.
func (n *names) tool(r program.Ref) int {
	if r.Name == "" {
		if len(n.tools) == 0 {
			n.tools = append(n.tools, Tool{Name: bare, TCP: kin.IdentityPose, Body: -1})
		}
		return 0
	}
	for i := len(n.tools) - 1; i >= 0; i-- { // taught ones come last and go first
		if n.tools[i].Name == r.Name {
			return i
		}
	}
	// In a cell that has tools one of them is on the flange: it can't be left
	// out of account by a name.
	if r.Name == bare && len(n.c.Tools) == 0 {
		n.tools = append(n.tools, Tool{Name: bare, TCP: kin.IdentityPose, Body: -1})
		return len(n.tools) - 1
	}
	if !n.bad["tool "+r.Name] {
		n.bad["tool "+r.Name] = true
		var words []string
		for i := range n.tools {
			words = append(words, n.tools[i].Name)
		}
		for i := range n.p.Tools {
			words = append(words, n.p.Tools[i].Name)
		}
		n.l.Add(r.Pos, "M001", suggest(r.Name, words, "tools"), "no tool is named %q", r.Name)
	}
	return -1
}

// suggest is the fix for an unknown name.
func suggest(got string, words []string, what string) string {
	if near := diag.Nearest(got, words); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	if len(words) == 0 {
		return "the cell has no " + what
	}
	return "the cell's " + what + ": " + list(words)
}

func list(words []string) string {
	s := ""
	for i, w := range words {
		switch {
		case i == 8:
			return s + " and more"
		case i > 0:
			s += ", "
		}
		s += w
	}
	return s
}

// frame returns the pose of a frame in the world.
func (n *names) frame(r program.Ref) (kin.Pose, bool) {
	if worldFrame, ok := n.known[r.Name]; ok {
		if worldFrame == nil {
			if !n.bad["frame "+r.Name] {
				n.bad["frame "+r.Name] = true
				n.l.Add(r.Pos, "M010", "write the poses that teach it in another frame, or by axes", "the frame %s is taught by poses that are written in it", r.Name)
			}
			return kin.Pose{}, false
		}
		return *worldFrame, true
	}
	for i := range n.p.Frames {
		if n.p.Frames[i].Name == r.Name {
			return n.teachFrame(&n.p.Frames[i])
		}
	}
	for i := range n.c.Frames {
		if n.c.Frames[i].Name == r.Name {
			return n.c.Frames[i].Pose, true
		}
	}
	switch r.Name {
	case "base", "":
		return n.c.Mount, true
	case "world":
		return kin.IdentityPose, true
	}
	if !n.bad["frame "+r.Name] {
		n.bad["frame "+r.Name] = true
		words := []string{"base", "world"}
		for i := range n.c.Frames {
			words = append(words, n.c.Frames[i].Name)
		}
		for i := range n.p.Frames {
			words = append(words, n.p.Frames[i].Name)
		}
		n.l.Add(r.Pos, "M002", suggest(r.Name, words, "frames"), "no frame is named %q", r.Name)
	}
	return kin.Pose{}, false
}

// signal returns the index of a signal, -1 when there is none.
func (n *names) signal(s *program.Signal) int {
	if i, ok := n.signals[s.Name]; ok {
		return i
	}
	if !n.bad["signal "+s.Name] {
		n.bad["signal "+s.Name] = true
		var words []string
		for i := range n.c.Signals {
			words = append(words, n.c.Signals[i].Name)
		}
		n.l.Add(s.Pos, "M003", suggest(s.Name, words, "signals"), "no signal is named %q", s.Name)
	}
	return -1
}

// steps checks the names in steps, whether they run or not.
func (n *names) steps(steps []program.Step) {
	for i := range steps {
		s := &steps[i]
		switch s.Kind {
		case program.Set:
			for k := range s.Signals {
				sig := &s.Signals[k]
				if j := n.signal(sig); j >= 0 && !n.c.Signals[j].Output {
					n.l.Add(sig.Pos, "M004", "wait for it instead", "%s is an input: the cell sets it, not the program", sig.Name)
				}
			}
		case program.Wait:
			for k := range s.Signals {
				n.signal(&s.Signals[k])
			}
		case program.Repeat:
			if s.Shift.Frame.Name != "" {
				n.frame(s.Shift.Frame)
			}
			n.steps(s.Steps)
		case program.SelectTool:
			n.tool(s.Tool)
		}
	}
}

// place returns a pose in the world; by axes with the arm and tool of lev.
// shift moves poses in its frames.
func (n *names) place(p *program.Pose, lev *levers, shift []shifted) (kin.Pose, bool) {
	if p.ByAxes {
		e := state{q: p.Axes}
		lev.place(&e)
		return e.tcp, true
	}
	worldFrame, ok := n.frame(p.Frame)
	if !ok {
		return kin.Pose{}, false
	}
	framePlace := p.Place
	for i := range shift {
		if shift[i].frame == p.Frame.Name {
			framePlace.T = framePlace.T.Add(shift[i].by)
		}
	}
	return worldFrame.Mul(&framePlace), true
}

// usable reports whether the arm's figures make sense.
func usable(c *cell.Cell, l *diag.List, pos diag.Pos) bool {
	if c.Arm == nil || c.Arm.Chain == nil {
		l.Add(pos, "M012", "", "the cell has no arm")
		return false
	}
	for i := range 6 {
		m := c.Arm
		good := m.Speed[i] > 0 && m.Accel[i] > 0 && m.Limits[i].Min < m.Limits[i].Max &&
			!math.IsInf(m.Speed[i]+m.Accel[i], 0) && !math.IsInf(m.Limits[i].Max-m.Limits[i].Min, 0)
		if !good {
			l.Add(pos, "M012", "", "axis %d of the arm %s has no usable limits, speed or acceleration", i+1, m.Name)
			return false
		}
	}
	return true
}
