package practice

import (
	"errors"
	"math"
	"strings"
	"testing"

	"posework/engine/motion"
	"posework/kin"
)

const lift = `
title: Lift the slab
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  over: {xyz: [0, 0, 140], rpy: [180, 0, 0], frame: stand}
  grip: {xyz: [0, 0, 40], rpy: [180, 0, 0], frame: stand}
  side: {xyz: [0, 150, 140], rpy: [180, 0, 0], frame: stand}
steps:
  - {to: home, path: joint, speed: 20 %, end: stop}
  - {to: over, path: joint, speed: 30 %, end: fly-by 10 mm}
  - {to: grip, path: line, speed: 80 mm/s, end: stop}
  - {set: {vacuum: on}}
  - {wait: {part-held: on, at-most: 2 s}}
  - {to: over, path: line, speed: 80 mm/s, end: stop}
  - {to: side, path: line, speed: 400 mm/s, end: stop}
`

var (
	step = Action{Kind: StepForward}
	back = Action{Kind: StepBack}
	run  = Action{Kind: RunOn}
)

// loaded is a bench with the program, the arm where it begins.
func loaded(t tb, text string) *Controller {
	t.Helper()
	c := bench(t)
	c.SetSpeed(250)
	if err := c.Load(plan(t, c.cell, text), "digest"); err != nil {
		t.Fatal(err)
	}
	come(t, c)
	if c.Read().OnTrack != nil {
		hold(t, c, Action{Kind: Return}, 12)
		c.Advance(0.3)
	}
	if err := c.Read().OnTrack; err != nil {
		t.Fatal(err)
	}
	return c
}

// finish holds an action until it has come to its end, then lets go.
func finish(t tb, c *Controller, a Action) {
	t.Helper()
	for range 3000 {
		c.Grip(Middle)
		if err := c.Hold(a); err != nil {
			t.Fatalf("hold %+v: %v", a, err)
		}
		c.Advance(0.02)
		if !c.Moving() {
			break
		}
	}
	if c.Moving() {
		t.Fatalf("%+v never ends", a)
	}
	c.Advance(0.3)
}

// snapshot is the state that going forward and back must restore.
type snapshot struct {
	q      kin.Joints
	scene  motion.Scene
	step   int
	within bool
}

func snap(c *Controller) snapshot {
	r := c.Read()
	return snapshot{r.Q, r.Scene.Clone(), r.Step, r.Within}
}

func (s *snapshot) same(o *snapshot) bool {
	for i := range s.q {
		if !(math.Abs(s.q[i]-o.q[i]) <= 1e-9) {
			return false
		}
	}
	return s.scene.Equal(&o.scene) && s.step == o.step && s.within == o.within
}

func TestStepForwardAndBack(t *testing.T) {
	c := loaded(t, lift)
	states := []snapshot{snap(c)}
	for i := range c.steps() {
		finish(t, c, step)
		if r := c.Read(); r.Step != i+1 || r.Within {
			t.Fatalf("after step %d the next is %d, within %v", i, r.Step, r.Within)
		}
		states = append(states, snap(c))
	}
	if held := states[5].scene.Held; held != 0 {
		t.Errorf("after the wait the tool holds %d, want the slab", held)
	}
	if err := c.Hold(step); err == nil {
		t.Error("there is a step after the last")
	}
	for i := c.steps() - 1; i >= 0; i-- {
		finish(t, c, back)
		now := snap(c)
		if !now.same(&states[i]) {
			t.Fatalf("back before step %d: %+v, want %+v", i, now, states[i])
		}
	}
	c.Grip(Middle)
	if err := c.Hold(back); !errors.Is(err, ErrAtStart) {
		t.Errorf("back before the first step: %v", err)
	}
}

// Within a step, back leads to its beginning.
func TestBackWithinStep(t *testing.T) {
	c := loaded(t, lift)
	finish(t, c, step)
	before := snap(c)
	hold(t, c, step, 0.5)
	come(t, c)
	if r := c.Read(); !r.Within || r.Step != 1 {
		t.Fatalf("step %d, within %v", r.Step, r.Within)
	}
	c.Advance(0.3)
	finish(t, c, back)
	if now := snap(c); !now.same(&before) {
		t.Errorf("%+v, want %+v", now, before)
	}
}

// In manual mode a program runs no faster than the chosen speed, whatever it
// says: step 7 is programmed at 400 mm/s.
func TestProgramAtReducedSpeed(t *testing.T) {
	c := loaded(t, lift)
	for range 6 {
		finish(t, c, step)
	}
	c.SetSpeed(100)
	peak := 0.0
	for range 3000 {
		c.Grip(Middle)
		if c.Read().Step == 7 {
			break
		}
		if err := c.Hold(step); err != nil {
			t.Fatal(err)
		}
		c.Advance(tick)
		peak = max(peak, c.Read().FastestMMS)
	}
	if peak > 100 || peak < 95 {
		t.Errorf("step 7 ran at %.1f mm/s, want just under 100", peak)
	}
	e := c.Log().Entries
	if last := e[len(e)-1]; last.Kind != SteppedEntry || last.Step != "7" || last.Speed > 100 || last.Mode != Manual {
		t.Errorf("log entry %+v", last)
	}
}

func TestAutomaticOnlyAfterEveryStep(t *testing.T) {
	c := loaded(t, lift)
	c.SetGate(false)
	n := c.steps()
	for i := range n {
		err := c.SetMode(Automatic)
		if !errors.Is(err, ErrUnproved) || !strings.Contains(err.Error(), "step "+c.plan.Steps[i].Label) {
			t.Fatalf("automatic after %d of %d steps: %v", i, n, err)
		}
		finish(t, c, step)
	}
	if err := c.SetMode(Automatic); err != nil {
		t.Fatal(err)
	}
	if err := c.Hold(step); !errors.Is(err, ErrAutomatic) {
		t.Errorf("a step by hand in automatic mode: %v", err)
	}
	if err := c.Start(); !errors.Is(err, ErrAtEnd) {
		t.Errorf("start at the end: %v", err)
	}
	// Back to the beginning: manual, cell set up, arm brought back.
	if err := c.SetMode(Manual); err != nil {
		t.Fatal(err)
	}
	if err := c.SetUp(); err != nil {
		t.Fatal(err)
	}
	finish(t, c, Action{Kind: Return})
	if err := c.SetMode(Automatic); err != nil {
		t.Fatal(err)
	}
	c.SetShare(0.25)
	c.Advance(1)
	if c.Moving() {
		t.Fatal("selecting automatic starts the program")
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	began := c.clock
	for c.Moving() {
		c.Advance(0.02)
	}
	// A quarter of the speed takes four times as long, ramps aside.
	if took := c.clock - began; took < 4*c.plan.Duration || took > 4*c.plan.Duration+0.5 {
		t.Errorf("at 25 %% the run took %.2f s of %.2f", took, c.plan.Duration)
	}
	log := c.Log()
	last := log.Entries[len(log.Entries)-1]
	if last.Kind != RanEntry || last.Mode != Automatic || last.Share != 0.25 || last.Speed <= 0 || log.Program != "digest" {
		t.Errorf("log %q, entry %+v", log.Program, last)
	}
	if r := c.Read(); r.Step != n {
		t.Errorf("after the run the next step is %d of %d", r.Step, n)
	}
}

// proven is a bench with the program proved, in automatic mode, at its start.
func proven(t tb) *Controller {
	t.Helper()
	c := loaded(t, lift)
	for range c.steps() {
		finish(t, c, step)
	}
	if err := c.SetUp(); err != nil {
		t.Fatal(err)
	}
	finish(t, c, Action{Kind: Return})
	c.SetGate(false)
	if err := c.SetMode(Automatic); err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	c.Advance(0.7)
	if !c.Moving() {
		t.Fatal("the program does not run")
	}
	return c
}

// ISO 10218-1 (facts F019, F020, F036): the gate, the emergency stop and leaving
// automatic stop the arm; a reset restarts nothing.
func TestStopsInAutomatic(t *testing.T) {
	for _, c := range []struct {
		name    string
		stop    func(*Controller)
		tripped bool
	}{
		{"gate", func(k *Controller) { k.SetGate(true) }, true},
		{"emergency stop", (*Controller).EmergencyStop, true},
		{"stop key", (*Controller).Stop, false},
		{"manual selected", func(k *Controller) {
			if err := k.SetMode(Manual); err != nil {
				t.Error(err)
			}
		}, false},
	} {
		k := proven(t)
		c.stop(k)
		k.Advance(0.3)
		if k.Moving() {
			t.Errorf("%s: the arm still moves after 0.3 s", c.name)
		}
		r := k.Read()
		if r.Tripped != c.tripped {
			t.Errorf("%s: tripped %v", c.name, r.Tripped)
		}
		if c.tripped {
			if err := k.Start(); !errors.Is(err, ErrTripped) {
				t.Errorf("%s: start before the reset: %v", c.name, err)
			}
			if r.GateOpen {
				if err := k.Reset(); !errors.Is(err, ErrGate) {
					t.Errorf("%s: reset with the gate open: %v", c.name, err)
				}
			}
			k.SetGate(false)
			k.Unlatch()
			if err := k.Reset(); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			k.Advance(0.5)
			if k.Moving() {
				t.Errorf("%s: the reset starts the arm", c.name)
			}
		}
		switch c.name {
		case "gate", "stop key":
			if err := k.Start(); err != nil {
				t.Errorf("%s: it can't go on: %v", c.name, err)
			}
		case "emergency stop": // the axes braked by themselves
			if err := k.Start(); err != nil && !errors.Is(err, ErrOffPath) {
				t.Errorf("%s: %v", c.name, err)
			}
		}
	}
}

func TestDeviceDoesNothingInAutomatic(t *testing.T) {
	c := proven(t)
	c.Grip(Middle)
	c.Grip(Released)
	c.Grip(Squeezed)
	c.Release()
	c.Advance(0.3)
	if !c.Moving() {
		t.Error("the enabling device stops the arm in automatic mode")
	}
}

// Jogged away, the program goes on only when the arm has been brought back.
func TestOffPath(t *testing.T) {
	c := loaded(t, lift)
	finish(t, c, step)
	finish(t, c, step)
	finish(t, c, Action{Kind: JogAxis, Axis: 0, By: kin.Rad(3)})
	if err := c.Hold(step); !errors.Is(err, ErrOffPath) && !errors.Is(err, ErrEnable) {
		t.Fatalf("step while off the path: %v", err)
	}
	c.Grip(Middle)
	if err := c.Hold(step); !errors.Is(err, ErrOffPath) {
		t.Fatalf("step while off the path: %v", err)
	}
	finish(t, c, Action{Kind: Return})
	finish(t, c, step)
	if r := c.Read(); r.Step != 3 {
		t.Errorf("next step %d, want 3", r.Step)
	}
}

// A signal set by hand leaves the program's cell behind, until it is set up anew.
func TestOtherScene(t *testing.T) {
	c := loaded(t, lift)
	finish(t, c, step)
	if err := c.SetSignal(0, true); err != nil {
		t.Fatal(err)
	}
	c.Grip(Middle)
	if err := c.Hold(step); !errors.Is(err, ErrOtherScene) {
		t.Fatalf("step with the vacuum on: %v", err)
	}
	if err := c.SetUp(); err != nil {
		t.Fatal(err)
	}
	finish(t, c, Action{Kind: Return})
	finish(t, c, step)
}

// By hand the cell acts as it says: the cup takes the slab when the vacuum is on
// and the tip is near, and lets it go again.
func TestSignalsByHand(t *testing.T) {
	c := bench(t)
	c.SetSpeed(250)
	finish(t, c, down) // until it touches
	if b := c.Read().Block; b == nil || b.B != "slab" {
		t.Fatalf("block %+v", b)
	}
	if err := c.SetSignal(0, true); err != nil {
		t.Fatal(err)
	}
	if !c.Active() {
		t.Error("an effect is on its way, and time does not matter")
	}
	c.Advance(0.1)
	if c.Read().Scene.Held >= 0 {
		t.Error("held before its time")
	}
	c.Advance(0.1)
	r := c.Read()
	if r.Scene.Held != 0 || !r.Scene.Signals[1] {
		t.Fatalf("scene %+v", r.Scene)
	}
	finish(t, c, Action{Kind: JogAlong, Axis: 2, Frame: InBase, By: 30})
	if err := c.SetSignal(0, false); err != nil {
		t.Fatal(err)
	}
	c.Advance(0.2)
	r = c.Read()
	if r.Scene.Held >= 0 || r.Scene.Signals[1] {
		t.Fatalf("scene %+v", r.Scene)
	}
	almost(t, "height of the slab let go", r.Scene.Parts[0].Pose.T.Z, 250, 0.01)
}

// After a change the steps before it stay proved (facts F140: go back to the
// first step that the change touches).
func TestLoadKeepsWhatIsProved(t *testing.T) {
	c := loaded(t, lift)
	for range 5 {
		finish(t, c, step)
	}
	changed := strings.Replace(lift, "to: over, path: line, speed: 80", "to: over, path: line, speed: 60", 1)
	if err := c.Load(plan(t, c.cell, changed), "other"); err != nil {
		t.Fatal(err)
	}
	r := c.Read()
	for i, want := range []bool{true, true, true, true, true, false, false} {
		if r.Proved[i] != want {
			t.Errorf("step %d proved %v, want %v", i+1, r.Proved[i], want)
		}
	}
	if r.Step != 5 || r.OnTrack != nil {
		t.Errorf("next step %d, on track: %v", r.Step, r.OnTrack)
	}
	if log := c.Log(); log.Program != "other" || len(log.Entries) != 5 {
		t.Errorf("log of %q with %d entries, want 5", log.Program, len(log.Entries))
	}
	// A pose that step 2 uses: only step 1 stays.
	changed = strings.Replace(lift, "over: {xyz: [0, 0, 140]", "over: {xyz: [0, 0, 141]", 1)
	if err := c.Load(plan(t, c.cell, changed), "third"); err != nil {
		t.Fatal(err)
	}
	r = c.Read()
	if !r.Proved[0] || r.Proved[1] || r.Step != 1 {
		t.Errorf("proved %v, next step %d", r.Proved, r.Step)
	}
	if log := c.Log(); len(log.Entries) != 1 || log.Entries[0].Step != "1" {
		t.Errorf("log %+v", log.Entries)
	}
	if err := c.Load(nil, ""); err != nil {
		t.Fatal(err)
	}
	c.Grip(Middle)
	if err := c.Hold(step); !errors.Is(err, ErrNoProgram) {
		t.Errorf("step without a program: %v", err)
	}
}

// Steps of a routine that is called twice have one label, but are two steps: what
// was proved of the second call is not kept when a step before it changes.
func TestLoadKeepsStepsNotLabels(t *testing.T) {
	const twice = `tool: cup
poses:
  home: {axes: [0, -4, 29, 0, 65, 0]}
  one: {axes: [5, -4, 29, 0, 65, 0]}
  two: {axes: [10, -4, 29, 0, 65, 0]}
steps:
  - {to: home, path: joint, speed: 20 %, end: stop}
  - {call: nod}
  - {to: one, path: joint, speed: 20 %, end: stop}
  - {call: nod}
routines:
  nod:
    - {to: two, path: joint, speed: 20 %, end: stop}
`
	c := loaded(t, twice)
	for range 4 {
		finish(t, c, step)
	}
	entries := c.Log().Entries
	if len(entries) != 4 || entries[1].Step != entries[3].Step || entries[1].Nth != 2 || entries[3].Nth != 4 {
		t.Fatalf("log %+v", entries)
	}
	changed := strings.Replace(twice, "to: one, path: joint, speed: 20 %", "to: one, path: joint, speed: 10 %", 1)
	if err := c.Load(plan(t, c.cell, changed), "other"); err != nil {
		t.Fatal(err)
	}
	if e := c.Log().Entries; len(e) != 2 || e[1].Nth != 2 {
		t.Errorf("after a change of step 3 the log holds %+v, want steps 1 and 2", e)
	}
}

// A program that can't be finished is run as far as it goes, and says why.
func TestHalt(t *testing.T) {
	c := loaded(t, strings.Replace(lift, "{set: {vacuum: on}}", "{set: {vacuum: off}}", 1))
	for range 4 {
		finish(t, c, step)
	}
	finish(t, c, step)
	r := c.Read()
	if r.Block == nil || r.Block.Kind != AtHalt || !strings.Contains(r.Block.Text, "step 5") || !strings.Contains(r.Block.Text, "did not come in time") {
		t.Fatalf("block %+v", r.Block)
	}
	if r.Step != 4 || r.Proved[4] {
		t.Errorf("next step %d, proved %v", r.Step, r.Proved)
	}
	if err := c.SetMode(Automatic); err == nil {
		t.Error("automatic mode with a program that can't be finished")
	}
	c.SetGate(false)
	if err := c.SetMode(Automatic); !errors.Is(err, ErrNoProgram) {
		t.Errorf("automatic mode: %v", err)
	}
}

// A run by hand from the first step to the last is logged as one.
func TestRunByHand(t *testing.T) {
	c := loaded(t, lift)
	hold(t, c, run, 2)
	come(t, c)
	c.Advance(0.3)
	finish(t, c, run)
	e := c.Log().Entries
	if len(e) != 1 || e[0].Kind != RanEntry || e[0].Mode != Manual || e[0].Speed > 250 {
		t.Fatalf("log %+v", e)
	}
	if r := c.Read(); r.Step != c.steps() || r.Proved[0] {
		t.Errorf("next step %d, proved %v", r.Step, r.Proved)
	}
}

// The program stops before the arm would touch anything.
func TestProgramStopsBeforeSolid(t *testing.T) {
	c := loaded(t, `
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  low: {xyz: [0, 130, 20], rpy: [180, 0, 0], frame: stand}
  through: {xyz: [0, -150, 20], rpy: [180, 0, 0], frame: stand}
steps:
  - {to: home, path: joint, speed: 20 %, end: stop}
  - {to: low, path: joint, speed: 20 %, end: stop}
  - {to: through, path: line, speed: 80 mm/s, end: stop}
`)
	finish(t, c, step)
	finish(t, c, step)
	finish(t, c, step)
	r := c.Read()
	if r.Block == nil || r.Block.Kind != AtSolid || !r.Within || r.Step != 2 {
		t.Fatalf("block %+v in step %d, within %v", r.Block, r.Step, r.Within)
	}
	// The tool may touch the slab, not run through it.
	if got := r.TCP.T.Y; got < 60 {
		t.Errorf("the cup stopped at y %.1f, want before the slab's side at 60", got)
	}
}

func TestTaughtFramesCanBeJoggedIn(t *testing.T) {
	c := loaded(t, `
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  o: {xyz: [500, -100, 300], rpy: [180, 0, 0]}
  x: {xyz: [500, 100, 300], rpy: [180, 0, 0]}
  p: {xyz: [300, -100, 300], rpy: [180, 0, 0]}
frames: {bench: {origin: o, along-x: x, in-plane: p}}
steps:
  - {to: home, path: joint, speed: 20 %, end: stop}
`)
	names := strings.Join(c.Frames(), " ")
	if names != "base tool stand turned bench" {
		t.Errorf("frames %q", names)
	}
	from := c.Read().TCP.T
	finish(t, c, Action{Kind: JogAlong, Axis: 0, Frame: "bench", By: 20})
	if d := c.Read().TCP.T.Sub(from); !(math.Abs(d.Y-20) <= 1e-3) {
		t.Errorf("20 mm along x of the taught frame lead to %v, want +y", d)
	}
}

// atStart brings the program back to its beginning, in automatic mode.
func atStart(t tb, c *Controller) {
	t.Helper()
	c.Advance(0.5)
	if err := errors.Join(c.SetMode(Manual), c.SetUp()); err != nil {
		t.Fatal(err)
	}
	c.Grip(Middle)
	finish(t, c, Action{Kind: Return})
	if err := c.SetMode(Automatic); err != nil {
		t.Fatal(err)
	}
}

// through runs the program in automatic mode to its end.
func through(t tb, c *Controller) {
	t.Helper()
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	for c.Moving() {
		c.Advance(0.02)
	}
}

// automaticRuns are the entries about automatic runs.
func automaticRuns(c *Controller) (list []Entry) {
	for _, e := range c.Log().Entries {
		if e.Kind == RanEntry && e.Mode == Automatic {
			list = append(list, e)
		}
	}
	return list
}

// An automatic run that goes on at a greater share after a stop was one at that
// share.
func TestShareRaisedAfterAStop(t *testing.T) {
	c := proven(t)
	c.Stop()
	c.Advance(0.5)
	c.SetShare(1)
	through(t, c)
	if e := automaticRuns(c); len(e) != 1 || e[0].Share != 1 || e[0].Speed <= 0 {
		t.Errorf("begun at 10 %%, gone on at 100 %%: logged as %+v", e)
	}
}

// A run that was given up is not the one that is begun anew, and never came to its
// end.
func TestRunGivenUp(t *testing.T) {
	c := proven(t)
	c.Stop()
	atStart(t, c)
	c.SetShare(1)
	through(t, c)
	e := automaticRuns(c)
	if len(e) != 2 || e[0].Share != 0.1 || e[0].Speed != 0 || e[1].Share != 1 || e[1].Speed <= 0 {
		t.Errorf("given up at 10 %%, begun anew at 100 %%: logged as %+v", e)
	}
}

// The end of a program alone, in automatic mode, is no run of it; nor is one that
// was brought on by hand.
func TestRunOfAPart(t *testing.T) {
	c := proven(t)
	c.Stop()
	atStart(t, c)
	if err := c.SetMode(Manual); err != nil {
		t.Fatal(err)
	}
	for range c.steps() - 1 {
		finish(t, c, step)
	}
	if err := c.SetMode(Automatic); err != nil {
		t.Fatal(err)
	}
	through(t, c)
	if e := automaticRuns(c); len(e) != 2 || e[1].Speed != 0 {
		t.Errorf("the last step alone is logged as %+v", e)
	}

	c = proven(t)
	c.Stop()
	c.Advance(0.5)
	if err := c.SetMode(Manual); err != nil {
		t.Fatal(err)
	}
	finish(t, c, run)
	for _, e := range c.Log().Entries {
		if e.Kind == RanEntry && e.Speed > 0 {
			t.Errorf("begun in automatic and ended by hand, the run is logged as %+v", e)
		}
	}
}

// A program that is changed in automatic mode has to be stepped through again
// before it starts.
func TestChangedInAutomatic(t *testing.T) {
	c := proven(t)
	c.Stop()
	atStart(t, c)
	changed := strings.Replace(lift, "speed: 400 mm/s", "speed: 800 mm/s", 1)
	if err := c.Load(plan(t, c.cell, changed), "other"); err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); !errors.Is(err, ErrUnproved) {
		t.Errorf("start with a changed step: %v, want %v", err, ErrUnproved)
	}
}

// A stop that was tried belongs to the program that it was tried with, as far as
// that is still part of the one on the bench.
func TestLoadKeepsStopsOfTheSameProgram(t *testing.T) {
	for _, tt := range []struct {
		name, old, text string
		want            int
	}{
		{"a comment", "title: Lift", "# again\ntitle: Lift", 2},
		{"a step more", "400 mm/s, end: stop}\n", "400 mm/s, end: stop}\n  - {to: home, path: joint, speed: 20 %, end: stop}\n", 2},
		{"another speed", "400 mm/s", "300 mm/s", 0},
	} {
		c := loaded(t, lift)
		finish(t, c, step)
		for _, g := range []Grip{Released, Squeezed} {
			hold(t, c, step, 0.3)
			c.Grip(g)
			c.Advance(0.5)
			c.Grip(Released)
		}
		stops := func() (n int) {
			for _, e := range c.Log().Entries {
				if e.Kind == ReleasedEntry || e.Kind == SqueezedEntry {
					n++
				}
			}
			return n
		}
		if n := stops(); n != 2 {
			t.Fatalf("%d stops logged, want 2: %+v", n, c.Log().Entries)
		}
		if err := c.Load(plan(t, c.cell, strings.Replace(lift, tt.old, tt.text, 1)), "other"); err != nil {
			t.Fatal(err)
		}
		if n := stops(); n != tt.want {
			t.Errorf("%s: %d of 2 stops are kept, want %d", tt.name, n, tt.want)
		}
	}
}
