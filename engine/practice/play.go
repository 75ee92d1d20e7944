package practice

import (
	"fmt"
	"math"
	"slices"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/program"
	"posework/kin"
)

// player is the program as far as it has been run.
type player struct {
	plan     *motion.Trajectory
	step     int     // index of the step that comes next, or that the arm stands within
	when     float64 // where on the trajectory, s
	tracking bool    // arm and cell are as the trajectory has them there
	done     []bool  // the steps that were run singly to their end

	single    bool    // the step at hand has been run singly from its beginning
	whole     bool    // the program has been run, not stepped, from its beginning, in one mode
	peak      float64 // fastest point since the step or the run began, mm/s
	automatic int     // index of the log's entry of the automatic run that goes on; -1: none

	state motion.State
}

// Load gives the controller the program to run, planned, and a digest of its
// text for the log; nil takes it away. What has been proved of a program before
// stays proved up to the first step that is different now, and the stops that were
// tried stay as long as all its steps do. It is refused while the arm moves.
func (c *Controller) Load(plan *motion.Trajectory, digest string) error {
	if c.Moving() {
		return ErrMoving
	}
	old := c.player
	c.player = player{plan: plan, automatic: -1}
	c.frames = c.cell.Frames
	if plan == nil {
		c.log.keep(digest, nil, old.steps() == 0)
		return nil
	}
	for i := range plan.Frames {
		f := &plan.Frames[i]
		c.frames = append(slices.Clip(c.frames), cell.Frame{Name: f.Name, Pose: f.Pose})
	}
	c.done = make([]bool, len(plan.Steps))
	same := 0
	for same < min(len(plan.Steps), old.steps()) && sameStep(plan, old.plan, same) {
		c.done[same] = old.done[same]
		same++
	}
	if c.step = min(old.step, same); c.step > 0 {
		c.when = plan.Steps[c.step-1].End
	}
	c.log.keep(digest, c.done, same == old.steps())
	c.tracking = c.onTrack() == nil
	return nil
}

// sameStep reports whether step i is the same motion in two plans.
func sameStep(a, b *motion.Trajectory, i int) bool {
	x, y := &a.Steps[i], &b.Steps[i]
	if !sameSource(x.Source, y.Source) || x.Label != y.Label || x.Last-x.First != y.Last-y.First {
		return false
	}
	if !sameTool(&a.Tools[x.Tool], &b.Tools[y.Tool]) || !a.Scenes[x.Scene].Equal(&b.Scenes[y.Scene]) {
		return false
	}
	for k := range x.Last - x.First {
		if !samePiece(&a.Pieces[x.First+k], &b.Pieces[y.First+k]) {
			return false
		}
	}
	return true
}

func sameSource(a, b *program.Step) bool {
	signal := func(s, t program.Signal) bool { return s.Name == t.Name && s.On == t.On }
	return a.Kind == b.Kind && a.Path == b.Path && a.Speed == b.Speed && a.FlyBy == b.FlyBy &&
		a.AtMost == b.AtMost && a.Pause == b.Pause && a.Load == b.Load && slices.EqualFunc(a.Signals, b.Signals, signal)
}

func sameTool(a, b *motion.Tool) bool { return a.TCP == b.TCP && a.Body == b.Body }

// samePiece reports whether two pieces are the same motion: the same kind and
// length of time, through the same axes at the beginning, halfway and at the end.
func samePiece(a, b *motion.Piece) bool {
	const tol = 1e-9
	if a.Kind != b.Kind || math.Abs((a.End-a.Start)-(b.End-b.Start)) > tol {
		return false
	}
	for _, share := range [...]float64{0, 0.5, 1} {
		var e, f motion.Eval
		s, _, _ := a.Law.At(share * (a.End - a.Start))
		a.Path.At(s, &e)
		s, _, _ = b.Law.At(share * (b.End - b.Start))
		b.Path.At(s, &f)
		for i := range e.Q {
			if math.Abs(e.Q[i]-f.Q[i]) > tol {
				return false
			}
		}
	}
	return true
}

func (p *player) steps() int {
	if p.plan == nil {
		return 0
	}
	return len(p.plan.Steps)
}

// rewind puts the program to its first step.
func (c *Controller) rewind() {
	c.step, c.when, c.single = 0, 0, false
	c.endRun()
	if c.steps() > 0 {
		_, tool := c.expected()
		c.tool = *tool
	}
	c.rig()
	c.tracking = c.onTrack() == nil
}

// within reports whether the arm has been stopped within a step.
func (c *Controller) within() bool {
	return c.step < c.steps() && c.when > c.plan.Steps[c.step].Start+1e-9
}

// expected returns the scene and the tool that belong to where the program is.
func (c *Controller) expected() (*motion.Scene, *motion.Tool) {
	p := c.plan
	if c.within() {
		p.At(c.when, &c.state)
		return c.state.Scene, &p.Tools[p.Pieces[c.state.Piece].Tool]
	}
	if c.step > 0 {
		s := &p.Steps[c.step-1]
		return &p.Scenes[s.Scene], &p.Tools[s.Tool]
	}
	tool := 0
	if len(p.Steps) > 0 {
		tool = p.Steps[0].Tool
	}
	for i := range p.Tools {
		if name := p.Program.Tool.Name; name != "" && p.Tools[i].Name == name {
			tool = i
		}
	}
	return &p.Scenes[0], &p.Tools[tool]
}

// onTrackTol is how far an axis may be from where the program has it, rad (mm).
const onTrackTol = 1e-6

// onTrack says why the arm and the cell are not as the program has them here.
func (c *Controller) onTrack() error {
	if c.plan == nil || len(c.plan.Steps) == 0 {
		return ErrNoProgram
	}
	c.plan.At(c.when, &c.state)
	for i := range c.q {
		if math.Abs(c.q[i]-c.state.Q[i]) > onTrackTol {
			return ErrOffPath
		}
	}
	scene, tool := c.expected()
	if !scene.Equal(&c.scene) || !sameTool(tool, &c.tool) {
		return ErrOtherScene
	}
	return nil
}

// backTo is the path that brings the arm back to where the program was left.
func (c *Controller) backTo() path {
	c.plan.At(c.when, &c.state)
	return c.together(&c.state.Q)
}

// track is the path of an action on the program; nil when it can't begin.
func (c *Controller) track(k Kind) path {
	p := &played{from: c.when, pace1: 1}
	if c.mode == Automatic {
		p.pace1 = c.share
	}
	steps := c.plan.Steps
	switch k {
	case StepForward:
		p.until = steps[c.step].End
		if !c.within() {
			c.single, c.whole, c.peak = true, false, 0
		}
	case StepBack:
		if !c.within() {
			c.step--
		}
		p.until = steps[c.step].Start
		c.single, c.whole = false, false
	case RunOn:
		p.until = c.plan.Duration
		c.single = false
		if c.step == 0 && !c.within() {
			c.whole, c.peak = true, 0
		}
	default:
		return nil
	}
	c.tracking = true
	return p
}

// played is a stretch of the program's trajectory; progress is its time.
type played struct {
	from, until float64
	pace1       float64 // share of the programmed speed
}

func (p *played) length() float64 { return math.Abs(p.until - p.from) }
func (p *played) pace() float64   { return p.pace1 }

func (p *played) time(s float64) float64 {
	if s >= p.length() {
		return p.until
	}
	return p.from + math.Copysign(s, p.until-p.from)
}

func (p *played) at(c *Controller, s float64) (kin.Joints, *Block) {
	c.plan.At(p.time(s), &c.state)
	return c.state.Q, nil
}

// playing reports whether the motion is the program's.
func (c *Controller) playing() bool {
	_, ok := c.path.(*played)
	return ok
}

// leave notes that the arm is about to be moved otherwise than by the program.
func (c *Controller) leave() {
	if k := c.doing.Kind; k != StepForward && k != StepBack && k != RunOn {
		c.tracking, c.whole = false, false
	}
}

// progress follows the program after a tick of its motion.
func (c *Controller) progress() {
	p, ok := c.path.(*played)
	if !ok {
		return
	}
	c.when = p.time(c.s)
	c.peak = max(c.peak, c.fastest)
	if c.doing.Kind == RunOn {
		for c.step < c.steps() && c.when >= c.plan.Steps[c.step].End {
			c.step++
		}
	}
	c.stage()
}

// stage makes tool, signals and parts those that the program has here.
func (c *Controller) stage() {
	scene, tool := c.expected()
	if scene.Equal(&c.scene) && sameTool(tool, &c.tool) {
		return
	}
	c.scene, c.tool = scene.Clone(), *tool
	c.rig()
}

// arrive notes what a motion that has ended has brought.
func (c *Controller) arrive(why reason) {
	if !c.playing() {
		c.tracking = c.onTrack() == nil
		return
	}
	if why == byArrival {
		switch c.doing.Kind {
		case StepForward:
			c.stepped()
		case RunOn:
			c.ran()
		}
	}
	c.stage()
	c.tracking = c.onTrack() == nil
}

// stepped ends a single step.
func (c *Controller) stepped() {
	if h := c.plan.Halt; h != nil && c.step == h.Step {
		c.block = c.haltBlock()
		return
	}
	if c.single {
		c.done[c.step] = true
		c.log.add(Entry{Kind: SteppedEntry, At: c.clock, Step: c.plan.Steps[c.step].Label, Nth: c.step + 1, Speed: c.peak, Mode: c.mode})
	}
	c.step++
	c.single = false
}

// endRun ends a run, wherever it is: what comes is another one.
func (p *player) endRun() { p.whole, p.automatic = false, -1 }

// ran ends a run to the end of the program.
func (c *Controller) ran() {
	if c.plan.Halt != nil {
		c.step = c.plan.Halt.Step
		c.block = c.haltBlock()
		return
	}
	c.step = c.steps()
	switch {
	case !c.whole: // only a part of it
	case c.mode == Automatic:
		c.log.Entries[c.automatic].Speed = c.peak
	default:
		c.log.add(Entry{Kind: RanEntry, At: c.clock, Speed: c.peak, Mode: c.mode})
	}
	c.endRun()
}

// proved says why automatic mode is barred as far as the program goes.
func (c *Controller) proved() error {
	if c.steps() == 0 {
		return ErrNoProgram
	}
	if c.plan.Halt != nil {
		return fmt.Errorf("%w: it can't get past step %s", ErrNoProgram, c.plan.Steps[c.plan.Halt.Step].Label)
	}
	for i, done := range c.done {
		if !done {
			return fmt.Errorf("%w: the first is step %s", ErrUnproved, c.plan.Steps[i].Label)
		}
	}
	return nil
}

// Start starts the program in automatic mode: from here to its end.
func (c *Controller) Start() error {
	switch {
	case c.mode != Automatic:
		return ErrManual
	case c.Moving():
		return ErrMoving
	case c.tripped:
		return ErrTripped
	case c.open:
		return ErrGate
	case c.steps() > 0 && c.step >= c.steps():
		return ErrAtEnd
	}
	if err := c.proved(); err != nil { // it may have been changed since automatic was selected
		return err
	}
	if err := c.onTrack(); err != nil {
		return err
	}
	c.doing, c.block, c.finished = Action{Kind: RunOn}, nil, false
	c.path = c.track(RunOn)
	c.s, c.rate, c.pace, c.phase = 0, 0, c.path.pace(), running
	if c.automatic < 0 {
		c.log.add(Entry{Kind: RanEntry, At: c.clock, Mode: Automatic})
		c.automatic = len(c.log.Entries) - 1
	}
	e := &c.log.Entries[c.automatic]
	e.Share = max(e.Share, c.share)
	return nil
}

// haltBlock is what the planner found in the way.
func (c *Controller) haltBlock() *Block {
	h := c.plan.Halt
	b := &Block{Kind: AtHalt, Axis: h.Axis}
	what := [...]string{
		motion.AxisLimit:    "the pose can only be reached with an axis past its limit",
		motion.PathBroken:   "the path leaves what the arm can reach",
		motion.PathLimit:    "the path runs an axis into its limit",
		motion.PathSingular: "the path meets a singularity",
		motion.ConfigTurns:  "the two ends of the path need different configurations",
		motion.WaitForever:  "the signal that the step waits for never comes",
		motion.WaitTimedOut: "the signal that the step waits for did not come in time",
	}
	b.Text = fmt.Sprintf("step %s: %s", c.plan.Steps[h.Step].Label, what[h.Why])
	if h.Axis > 0 {
		b.Text += fmt.Sprintf(" (axis %d)", h.Axis)
	}
	if h.Place != "" {
		b.Text += ", " + h.Place
	}
	switch h.Why {
	case motion.WaitForever, motion.WaitTimedOut:
		b.Help = []string{"look at what the cell needs before it sets the signal, and at the order of the steps"}
	case motion.PathSingular, motion.ConfigTurns:
		b.Help = []string{"go there by a joint move", "teach the pose with the arm standing the same way as at the pose before"}
	default:
		b.Help = []string{"teach the pose nearer to the arm, or with the tool turned otherwise"}
	}
	return b
}
