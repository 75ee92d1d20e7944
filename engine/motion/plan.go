package motion

import (
	"fmt"

	"posework/engine/cell"
	"posework/engine/diag"
	"posework/engine/program"
	"posework/kin"
	"posework/kin/arm"
)

// Options is what a plan can be told besides cell and program. The zero value
// is ready to use.
type Options struct {
	// Start is where the arm stands at first. Without it the arm stands at the
	// target of the first move, which then takes no time: at its axes when it is
	// given by axes, else at the solution nearest to all axes at zero.
	Start *kin.Joints
}

// defaultToolAccel is the tool acceleration of a cell that gives none, mm/s2.
const defaultToolAccel = 2500

// planner lays a program out as a trajectory.
type planner struct {
	tr    *Trajectory
	n     *names
	m     *arm.Model
	lev   []*levers // by tool
	stage *stage
	work  effort
	accel float64

	tool  int
	q     kin.Joints // axes at the end of the last move
	block []leg      // moves since the last stop that are not laid out yet
	laid  int        // steps before this one are laid out
}

// leg is a move that waits for the rest of its block.
type leg struct {
	stretch
	flyBy  float64
	passed []int // steps to take in passing its end
}

// Plan turns a program in a cell into a trajectory. Diagnostics are about what
// the files say wrongly: a name that the cell does not have, a pose that no
// position of the axes reaches; the trajectory is then nil. A motion that can't
// be finished is no such error: the trajectory goes as far as the arm gets, and
// Halt says where and why it stops.
func Plan(c *cell.Cell, p *program.Program, o Options) (*Trajectory, diag.List) {
	var l diag.List
	pos := diag.Pos{Filename: p.File, Line: 1, Column: 1}
	if !usable(c, &l, pos) {
		return nil, l
	}
	n := newNames(c, p, &l)
	todo, ok := unroll(p)
	if !ok {
		l.Add(pos, "M011", "repeat less, or leave out what never changes", "the program runs more than %d steps", maxSteps)
		return nil, l
	}
	first := n.all()
	pl := &planner{n: n, m: c.Arm, tool: first, accel: c.Motion.ToolAccel, work: effort{maxEffort}}
	if !(pl.accel > 0) {
		pl.accel = defaultToolAccel
	}
	if first >= 0 {
		pl.reachable(todo, first)
	}
	if len(l) > 0 {
		l.Sort()
		return nil, l
	}
	pl.tr = &Trajectory{Cell: c, Program: p, Tools: n.tools, Frames: n.frames, Taught: n.taught}
	pl.stage = newStage(pl.tr, c, &pl.work)
	pl.begin(todo, o.Start)
	pl.walk(todo)
	pl.linger()
	if pl.work.spent() && len(l) == 0 {
		pl.tooMuch(pl.tr.Steps[len(pl.tr.Steps)-1].Source.Pos)
	}
	pl.tr.Tools = n.tools
	pl.tr.Duration = pl.stage.now
	if len(l) > 0 {
		l.Sort()
		return nil, l
	}
	return pl.tr, nil
}

// all checks every name in the program and returns the tool that it starts
// with, -1 when there is none.
func (n *names) all() int {
	cellTool := len(n.tools) == 0 && (n.p.Tool.Name == "" || n.p.Tool.Name == bare)
	for i := range n.p.Tools {
		cellTool = cellTool && n.p.Tools[i].Name != n.p.Tool.Name
	}
	for i := range n.tools {
		cellTool = cellTool || n.tools[i].Name == n.p.Tool.Name || n.p.Tool.Name == ""
	}
	if cellTool {
		n.arm = newLevers(n.c.Arm, n.tools[n.tool(n.p.Tool)].TCP)
	}
	n.teachTools()
	first := n.tool(n.p.Tool)
	if first < 0 {
		return -1
	}
	n.arm = newLevers(n.c.Arm, n.tools[first].TCP)
	for i := range n.p.Frames {
		n.frame(program.Ref{Name: n.p.Frames[i].Name, Pos: n.p.Frames[i].Pos})
	}
	for i := range n.p.Poses {
		if p := &n.p.Poses[i]; !p.ByAxes {
			n.frame(p.Frame)
		}
	}
	n.steps(n.p.Steps)
	for i := range n.p.Routines {
		n.steps(n.p.Routines[i].Steps)
	}
	return first
}

// solving takes the work of finding the axes of a pose.
func (pl *planner) solving() {
	if pl.m.Inverse().Family() == kin.Numerical {
		pl.work.spend(seekEffort)
		return
	}
	pl.work.spend(solveEffort)
}

// tooMuch reports that the work was used up, at the step that it was used up by.
func (pl *planner) tooMuch(at diag.Pos) {
	pl.n.l.Add(at, "M013", "make the program shorter, its fly-bys fewer or its slow moves faster",
		"working out the motion up to here takes more than %d evaluations, the most that are spent on a program", maxEffort)
}

// levers returns the levers of the arm with a tool.
func (pl *planner) levers(tool int) *levers {
	for len(pl.lev) <= tool {
		pl.lev = append(pl.lev, nil)
	}
	if pl.lev[tool] == nil {
		pl.lev[tool] = newLevers(pl.m, pl.n.tools[tool].TCP)
	}
	return pl.lev[tool]
}

// reachable reports the poses that moves go to and no axes reach.
func (pl *planner) reachable(todo []todo, tool int) {
	type key struct {
		pose *program.Pose
		tool int
	}
	seen := map[key]bool{}
	bad := map[*program.Pose]bool{}
	for i := range todo {
		s := todo[i].src
		if pl.work.spent() {
			pl.tooMuch(s.Pos)
			return
		}
		if s.Kind == program.SelectTool {
			if t := pl.n.tool(s.Tool); t >= 0 {
				tool = t
			}
		}
		if s.Kind != program.Move {
			continue
		}
		p := pl.n.poses[s.To.Name]
		if p == nil || p.ByAxes || bad[p] || len(todo[i].shift) == 0 && seen[key{p, tool}] {
			continue
		}
		seen[key{p, tool}] = true
		lev := pl.levers(tool)
		target, ok := pl.n.place(p, lev, todo[i].shift)
		if !ok {
			continue
		}
		by := pl.beyond(&target, lev)
		if by > 0 {
			bad[p] = true
			as := ""
			if len(todo[i].shift) > 0 {
				as = fmt.Sprintf(", as shifted for step %s,", todo[i].label)
			}
			pl.n.l.Add(p.Pos, "M005", "bring it nearer to the arm or turn the tool", "pose %s%s lies %s beyond the reach of the arm", p.Name, as, millimetres(by))
			continue
		}
		if p.Config != nil && !pl.configExists(&target, lev, p.Config) {
			bad[p] = true
			w := p.Config.Words()
			pl.n.l.Add(p.Pos, "M006", "leave the config out, or take one that the pose has", "pose %s can't be reached with config %s, %s, %s", p.Name, w[0], w[1], w[2])
		}
	}
}

func millimetres(by float64) string {
	if by < 1 {
		return fmt.Sprintf("%.3f mm", by)
	}
	return fmt.Sprintf("%.0f mm", by)
}

// beyond returns how far a tool pose lies out of reach, mm.
func (pl *planner) beyond(worldTCP *kin.Pose, lev *levers) float64 {
	pl.solving()
	var sol kin.Solutions
	inv := lev.tcp.Inv()
	flange := worldTCP.Mul(&inv)
	pl.m.Inverse().Solve(&flange, &kin.Joints{}, &sol)
	return sol.Residual
}

func (pl *planner) configExists(worldTCP *kin.Pose, lev *levers, want *kin.Config) bool {
	var sol kin.Solutions
	inv := lev.tcp.Inv()
	flange := worldTCP.Mul(&inv)
	pl.m.Inverse().Solve(&flange, &kin.Joints{}, &sol)
	if !sol.HasConfig {
		return true
	}
	for i := range sol.N {
		if sol.Config[i] == *want {
			return true
		}
	}
	return false
}

// begin puts the arm where it starts.
func (pl *planner) begin(todo []todo, start *kin.Joints) {
	pl.q = kin.Joints{}
	if start != nil {
		pl.q = *start
	} else {
		tool := pl.tool
		for i := range todo {
			s := todo[i].src
			if s.Kind == program.SelectTool {
				tool = pl.n.tool(s.Tool)
			}
			if s.Kind != program.Move {
				continue
			}
			if p := pl.n.poses[s.To.Name]; p != nil {
				if t := pl.target(p, pl.levers(tool), todo[i].shift); t.miss.OK() {
					pl.q = t.q
				}
			}
			break
		}
	}
	pl.tr.Start = pl.q
	pl.stage.q = pl.q
	pl.stage.lev = pl.levers(pl.tool)
	pl.stage.settle(pl.here())
}

// here is the arm standing at the end of the last move.
func (pl *planner) here() *Eval {
	var e Eval
	(&fixed{pl.levers(pl.tool), pl.q}).At(0, &e)
	return &e
}

// goal is where a move goes.
type goal struct {
	tcp  kin.Pose
	q    kin.Joints // the axes there that are nearest to pl.q
	miss arm.Miss
}

// target works out where pose p puts the arm, coming from pl.q.
func (pl *planner) target(p *program.Pose, lev *levers, shift []shifted) goal {
	var g goal
	g.tcp, _ = pl.n.place(p, lev, shift)
	if p.ByAxes {
		g.q = p.Axes
		if axis, by, ok := pl.m.Within(&g.q); !ok && by > limitTol {
			g.miss = arm.Miss{Reason: arm.OutOfLimit, Axis: axis, By: by}
		}
		return g
	}
	pl.solving()
	inv := lev.tcp.Inv()
	flange := g.tcp.Mul(&inv)
	g.q, g.miss = pl.m.Nearest(&flange, &pl.q, p.Config)
	if g.miss.OK() {
		g.q = keep(&g.q, &pl.q)
	}
	return g
}

// walk executes the steps.
func (pl *planner) walk(todo []todo) {
	for i := range todo {
		t := &todo[i]
		pl.tr.Steps = append(pl.tr.Steps, Step{Source: t.src, Label: t.label, Tool: pl.tool})
		switch t.src.Kind {
		case program.Move:
			pl.move(i, t)
		case program.Set:
			if n := len(pl.block); n > 0 && pl.block[n-1].flyBy > 0 {
				pl.block[n-1].passed = append(pl.block[n-1].passed, i)
			} else {
				pl.flush()
				pl.open(i)
				pl.set(i, pl.here())
				pl.close(i)
			}
		case program.Pause:
			pl.flush()
			pl.open(i)
			pl.rest(i, t.src.Pause)
			pl.close(i)
		case program.Wait:
			pl.flush()
			pl.open(i)
			pl.wait(i, t.src)
			pl.close(i)
		case program.SelectTool:
			pl.flush()
			pl.open(i)
			pl.tool = pl.n.tool(t.src.Tool)
			pl.stage.lev = pl.levers(pl.tool)
			pl.tr.Steps[i].Tool = pl.tool
			pl.stage.settle(pl.here())
			pl.close(i)
		case program.SetPayload:
			pl.flush()
			pl.open(i)
			pl.close(i)
		}
		if pl.work.spend(stepEffort); pl.tr.Halt != nil || pl.work.spent() {
			break
		}
	}
	pl.flush()
	for i := pl.laid; i < len(pl.tr.Steps); i++ { // the step that halted, if it moved nothing
		pl.open(i)
		pl.close(i)
	}
}

// linger lets the arm of a motion that goes nowhere stand for no time after its
// last move, so that where it stands can be examined like any other motion.
func (pl *planner) linger() {
	t := pl.tr
	last := len(t.Steps) - 1
	for last >= 0 && t.Steps[last].Source.Kind != program.Move {
		last--
	}
	if len(t.Pieces) > 0 || last < 0 {
		return
	}
	pl.stage.put(Piece{
		Step: last, Kind: Rest, Tool: pl.tool,
		Path: &fixed{pl.levers(pl.tool), pl.q}, Law: standing(0, 0),
	}, len(t.Scenes)-1)
	for i := range t.Steps[last:] {
		s := &t.Steps[last+i]
		s.Last = 1
		if i > 0 {
			s.First = 1
		}
	}
}

// open and close note when a step begins and ends, and which pieces it has.
func (pl *planner) open(i int) {
	s := &pl.tr.Steps[i]
	s.Start, s.First = pl.stage.now, len(pl.tr.Pieces)
	pl.laid = i + 1
}

func (pl *planner) close(i int) {
	s := &pl.tr.Steps[i]
	s.End, s.Last, s.Scene = pl.stage.now, len(pl.tr.Pieces), len(pl.tr.Scenes)-1
}

// set executes a set step with the arm at e.
func (pl *planner) set(i int, e *Eval) {
	var states []cell.SignalState
	for k := range pl.tr.Steps[i].Source.Signals {
		s := &pl.tr.Steps[i].Source.Signals[k]
		states = append(states, cell.SignalState{Signal: pl.n.signal(s), On: s.On})
	}
	pl.stage.set(states, e)
}

// rest stands still.
func (pl *planner) rest(i int, seconds float64) {
	if seconds <= 0 {
		return
	}
	pl.stage.run(Piece{
		Step: i, Kind: Rest, Tool: pl.tool,
		Path: &fixed{pl.levers(pl.tool), pl.q}, Law: standing(0, seconds),
	})
}

// waitSlack covers the rounding of sums of times, s: a signal that comes at the
// very end of a wait comes in time.
const waitSlack = 1e-9

// wait stands still until a signal is as asked for.
func (pl *planner) wait(i int, s *program.Step) {
	if len(s.Signals) == 0 {
		return
	}
	sig, on := pl.n.signal(&s.Signals[0]), s.Signals[0].On
	from := pl.stage.now
	for n := 0; pl.stage.scene().Signals[sig] != on; n++ {
		k := pl.stage.next()
		if k < 0 || n > maxChanges {
			if s.AtMost > 0 {
				pl.rest(i, from+s.AtMost-pl.stage.now)
				pl.halt(i, WaitTimedOut, "waiting for "+s.Signals[0].Name)
			} else {
				pl.halt(i, WaitForever, "waiting for "+s.Signals[0].Name)
			}
			return
		}
		at := pl.stage.pending[k].at
		if s.AtMost > 0 && at > from+s.AtMost+waitSlack {
			pl.rest(i, from+s.AtMost-pl.stage.now)
			pl.halt(i, WaitTimedOut, "waiting for "+s.Signals[0].Name)
			return
		}
		pl.rest(i, at-pl.stage.now)
		pl.stage.settle(pl.here())
	}
}

// halt ends the plan at step i with the arm where it is.
func (pl *planner) halt(i int, why Why, place string) *Halt {
	pl.tr.Halt = &Halt{Why: why, Step: i, At: pl.here().TCP, Place: place}
	return pl.tr.Halt
}
