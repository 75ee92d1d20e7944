package practice

import (
	"errors"
	"math"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/kin"
	"posework/kin/arm"
)

// turned is a chord: what a point at distance one moves when turned about an
// axis at right angles.
func TestTurned(t *testing.T) {
	for _, angle := range []float64{0, 1e-6, 0.5, math.Pi} {
		r := kin.FromAxisAngle(kin.Vec{X: 1}, angle)
		almost(t, "chord", turned(&kin.Identity, &r), 2*math.Sin(angle/2), 1e-12)
	}
}

func TestSetTool(t *testing.T) {
	c := bench(t)
	long := motion.Tool{Name: "long", TCP: kin.Pose{R: kin.Identity, T: kin.Vec{Z: 300}}, Body: -1}
	hold(t, c, down, 0.2)
	if err := c.SetTool(long); !errors.Is(err, ErrMoving) {
		t.Errorf("another tool in motion: %v", err)
	}
	come(t, c)
	at := c.Read().TCP.T
	if err := c.SetTool(long); err != nil {
		t.Fatal(err)
	}
	almost(t, "tip", at.Z-c.Read().TCP.T.Z, 120, 1e-9)
	if g := c.Read().Gap; strings.HasPrefix(g.A, "tool") {
		t.Errorf("a tool without body has the gap %+v", g)
	}
	// A program has its own tool, and gets it back.
	if err := c.Load(plan(t, c.cell, lift), ""); err != nil {
		t.Fatal(err)
	}
	if err := c.SetTool(long); err != nil {
		t.Fatal(err)
	}
	if err := c.SetUp(); err != nil {
		t.Fatal(err)
	}
	if got := c.Read().Tool.Name; got != "cup" {
		t.Errorf("set up anew, the tool is %q, want the program's", got)
	}
}

func TestRefusedInMotion(t *testing.T) {
	c := loaded(t, lift)
	hold(t, c, Action{Kind: JogAxis, Axis: 0}, 0.2)
	for name, err := range map[string]error{
		"set up":    c.SetUp(),
		"load":      c.Load(nil, ""),
		"signal":    c.SetSignal(0, true),
		"automatic": c.SetMode(Automatic),
	} {
		if !errors.Is(err, ErrMoving) {
			t.Errorf("%s in motion: %v, want %v", name, err, ErrMoving)
		}
	}
	if err := c.Start(); !errors.Is(err, ErrManual) {
		t.Errorf("start in manual mode: %v", err)
	}
	// A step that is held while the jog still runs is begun only if it can be; the
	// jog is brought to rest by the way.
	c.Grip(Middle)
	if err := c.Hold(step); err != nil {
		t.Fatal(err)
	}
	c.Advance(0.15)
	if r := c.Read(); r.Moving || !errors.Is(r.Refused, ErrOffPath) {
		t.Errorf("refused %v, moving %v", r.Refused, r.Moving)
	}
}

// Events that undo each other without delay come to an end.
func TestEventsWithoutEnd(t *testing.T) {
	c := soapCell(t)
	c.Events = []cell.Event{
		{When: []cell.SignalState{{Signal: 1, On: true}}, Near: -1, Hold: -1, Let: -1, Then: []cell.SignalState{{Signal: 1, On: false}}},
		{When: []cell.SignalState{{Signal: 1, On: false}}, Near: -1, Hold: -1, Let: -1, Then: []cell.SignalState{{Signal: 1, On: true}}},
	}
	k := New(c, &above)
	k.Advance(0.1)
	if k.clock < 0.099 {
		t.Error("time stands still")
	}
}

// A jog that leads out of reach says so. The arm stands stretched by 0.001 deg
// less than fully, so that no axis has to turn fast before the end.
func TestOutOfReach(t *testing.T) {
	c := bench(t)
	c.doing = Action{Kind: JogAlong}
	p := &straight{from: c.body.tcp, dir: kin.Vec{X: 1}, len: math.Inf(1), v: 50}
	_, b := p.at(c, 2000)
	if b == nil || b.Kind != AtReach || !strings.Contains(b.Text, "can't reach") || len(b.Help) == 0 {
		t.Errorf("block %+v", b)
	}
}

// An axis that coasts into its end stands there.
func TestCoastToLimit(t *testing.T) {
	start := degs(0, 20, 10, 0, 60, 349.9)
	c := New(soapCell(t), &start)
	c.SetSpeed(250)
	c.phase, c.axes, c.stop = coasting, kin.Joints{5: 20}, Category0
	come(t, c)
	if got := kin.Deg(c.Read().Q[5]); got > 350 {
		t.Errorf("axis 6 coasts to %v deg, past its limit of 350", got)
	}
}

func TestArmWithoutAlignments(t *testing.T) {
	m, _ := arm.Builtin("hazel")
	rows := m.Chain.Rows()
	rows[3].A, rows[4].A, rows[1].Alpha = 35, 20, 0.4 // no three axes meet or are parallel
	n := *m
	n.Chain = kin.NewChain(kin.IdentityPose, rows, kin.IdentityPose)
	c := New(&cell.Cell{Arm: &n, Mount: kin.IdentityPose}, &above)
	if b := c.alignedBlock(3); b.Alignment != NoAlignment || !strings.Contains(b.Text, "a singularity") || !strings.Contains(b.Text, "axis 4") {
		t.Errorf("block %+v", b)
	}
	c.SetSpeed(50)
	from := c.Read().TCP.T
	hold(t, c, Action{Kind: JogAlong, Axis: 0, Frame: InBase, By: 10}, 1)
	almost(t, "way of an arm without closed form", c.Read().TCP.T.Sub(from).X, 10, 1e-6)
	if p, err := c.RecordPlace("p", InBase); err != nil || p.Config != nil {
		t.Errorf("recorded %+v, %v: it has no configuration", p, err)
	}
}

func TestWords(t *testing.T) {
	for got, want := range map[string]string{
		Manual.String(): "manual", Automatic.String(): "automatic",
		Released.String(): "released", Middle.String(): "middle", Squeezed.String(): "squeezed",
		Wrist.String(): "wrist", Elbow.String(): "elbow", Shoulder.String(): "shoulder",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// What the planner says about a program that can't be finished reaches the
// learner with the step and something to try.
func TestHaltWords(t *testing.T) {
	for why := motion.AxisLimit; why <= motion.WaitTimedOut; why++ {
		c := loaded(t, lift)
		tr := *c.plan
		tr.Halt = &motion.Halt{Why: why, Step: 3, Axis: 2, Place: "12 mm before pose grip"}
		c.plan = &tr
		b := c.haltBlock()
		if !strings.Contains(b.Text, "step 4") || !strings.Contains(b.Text, "axis 2") || !strings.Contains(b.Text, "12 mm before") || len(b.Help) == 0 {
			t.Errorf("%d: %+v", why, b)
		}
	}
	c := loaded(t, strings.Replace(lift, "{set: {vacuum: on}}", "{set: {vacuum: off}}", 1))
	finish(t, c, run)
	if r := c.Read(); r.Block == nil || r.Block.Kind != AtHalt || r.Step != 4 || len(c.Log().Entries) != 0 {
		t.Errorf("run as far as it goes: block %+v, step %d, log %+v", r.Block, r.Step, c.Log())
	}
}
