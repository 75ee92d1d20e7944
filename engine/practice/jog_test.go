package practice

import (
	"math"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/kin"
	"posework/kin/arm"
)

func TestJogAxisByIncrement(t *testing.T) {
	c := bench(t)
	a := Action{Kind: JogAxis, Axis: 3, Negative: true, By: kin.Rad(5)}
	hold(t, c, a, 3)
	r := c.Read()
	almost(t, "axis 4 after an increment held long", kin.Deg(r.Q[3]-above[3]), -5, 1e-9)
	if r.Moving {
		t.Error("an increment goes on while the control is held")
	}
	c.Advance(0.5) // let go
	hold(t, c, a, 3)
	almost(t, "axis 4 after a second one", kin.Deg(c.Read().Q[3]-above[3]), -10, 1e-9)
}

// An increment that is let go is finished by the next press, and is no longer
// than it says.
func TestIncrementGoesOn(t *testing.T) {
	c := bench(t)
	a := Action{Kind: JogAlong, Axis: 2, Frame: InBase, By: 40}
	from := c.Read().TCP.T
	hold(t, c, a, 0.3)
	come(t, c)
	if r := c.Read(); !(r.Done > 5 && r.Done < 35) {
		t.Fatalf("%.1f mm of 40 done", r.Done)
	}
	hold(t, c, a, 2)
	d := c.Read().TCP.T.Sub(from)
	almost(t, "increment", d.Z, 40, 1e-6)
	almost(t, "off the line", math.Hypot(d.X, d.Y), 0, 1e-6)
}

// CURRICULUM L06-Q5: with yaw 90 of the frame, +40 mm along its x moves the tip
// 40 mm along base y.
func TestJogAlongFrame(t *testing.T) {
	for _, c := range []struct {
		frame string
		axis  int
		want  kin.Vec
	}{
		{InBase, 0, kin.Vec{X: 40}},
		{"turned", 0, kin.Vec{Y: 40}},
		{"turned", 1, kin.Vec{X: -40}},
		{InTool, 2, kin.Vec{Z: -40}}, // the tool points down
	} {
		k := bench(t)
		from := k.Read().TCP
		hold(t, k, Action{Kind: JogAlong, Axis: c.axis, Frame: c.frame, By: 40}, 2)
		to := k.Read().TCP
		if d := to.T.Sub(from.T).Sub(c.want).Norm(); d > 1e-3 {
			t.Errorf("40 mm along %s %c leads to %v, want %v", c.frame, 'x'+c.axis, to.T.Sub(from.T), c.want)
		}
		if d := to.R.Z.Sub(from.R.Z).Norm(); d > 1e-9 {
			t.Errorf("along %s the tool turns by %g rad", c.frame, d)
		}
	}
}

func TestJogAbout(t *testing.T) {
	c := bench(t)
	from := c.Read().TCP
	hold(t, c, Action{Kind: JogAbout, Axis: 0, Frame: InBase, By: kin.Rad(10)}, 3)
	to := c.Read().TCP
	if d := to.T.Sub(from.T).Norm(); d > 1e-6 {
		t.Errorf("the tip wanders by %g mm while the tool turns about it", d)
	}
	want := kin.FromRPY(kin.Rad(10), 0, 0)
	want = want.Mul(&from.R)
	if d := want.Z.Sub(to.R.Z).Norm() + want.X.Sub(to.R.X).Norm(); d > 1e-9 {
		t.Errorf("the tool is turned to %v, want %v", to.R, want)
	}
}

// EXAMPLES E2.5: at q5 = 5 deg a straight motion along base y at 250 mm/s asks
// 251 deg/s of axis 4, at 2 deg 635; the arm's axis 4 turns at 320 deg/s and half
// of that by hand. So towards q5 = 0 the jog slows down, then stops and says why.
func TestStraightJogMeetsWristAlignment(t *testing.T) {
	start := degs(0, 20, -10, 0, 0.2, 0)
	c := New(soapCell(t), &start)
	c.SetSpeed(250)
	hold(t, c, Action{Kind: JogAlong, Axis: 1, Frame: InBase}, 1)
	b := c.Read().Block
	if b == nil || b.Kind != AtAligned || b.Alignment != Wrist {
		t.Fatalf("block %+v, want the wrist alignment", b)
	}
	for _, want := range []string{"axes 4 and 6", "axis 5", "far too fast"} {
		if !strings.Contains(b.Text, want) {
			t.Errorf("%q does not say %q", b.Text, want)
		}
	}
	if len(b.Help) == 0 || !strings.Contains(b.Help[0], "axis 5") {
		t.Errorf("help %q", b.Help)
	}
	// What helps does help: turn axis 5 first, then go on.
	hold(t, c, Action{Kind: JogAxis, Axis: 4, By: kin.Rad(25)}, 3)
	c.Advance(0.3)
	from := c.Read().TCP.T
	hold(t, c, Action{Kind: JogAlong, Axis: 1, Frame: InBase, By: 60}, 3)
	almost(t, "way after turning axis 5", c.Read().TCP.T.Sub(from).Y, 60, 1e-3)
}

func TestStraightJogStretchesElbow(t *testing.T) {
	start := degs(0, 0, -20, 0, 60, 0)
	c := New(soapCell(t), &start)
	c.SetSpeed(250)
	hold(t, c, Action{Kind: JogAlong, Axis: 2, Frame: InBase}, 6)
	b := c.Read().Block
	if b == nil || b.Alignment != Elbow || b.Kind != AtReach && b.Kind != AtAligned {
		t.Fatalf("block %+v, want the elbow", b)
	}
	if !strings.Contains(strings.Join(b.Help, " "), "axis 3") {
		t.Errorf("help %q does not name axis 3", b.Help)
	}
}

func TestStraightJogMeetsShoulder(t *testing.T) {
	// EXAMPLES E2.4: q2 = -20, q3 = -51.131207 puts the wrist centre on axis 1.
	start := degs(0, -20, -50, 0, 60, 0)
	c := New(soapCell(t), &start)
	c.SetSpeed(250)
	hold(t, c, Action{Kind: JogAlong, Axis: 1, Frame: InBase}, 3)
	b := c.Read().Block
	if b == nil || b.Kind != AtAligned || b.Alignment != Shoulder {
		t.Fatalf("block %+v, want the shoulder", b)
	}
}

func TestJogMeetsLimit(t *testing.T) {
	c := bench(t)
	c.SetSpeed(250)
	hold(t, c, Action{Kind: JogAxis, Axis: 5}, 16)
	r := c.Read()
	if r.Block == nil || r.Block.Kind != AtLimit || r.Block.Axis != 6 || !strings.Contains(r.Block.Text, "upper limit of 350.0 deg") {
		t.Fatalf("block %+v at axis 6 %.3f deg", r.Block, kin.Deg(r.Q[5]))
	}
	almost(t, "axis 6 at its limit", kin.Deg(r.Q[5]), 350, 0.01)
	if r.Q[5] > kin.Rad(350) {
		t.Error("the limit is passed")
	}
	c.Advance(0.3)
	hold(t, c, Action{Kind: JogAxis, Axis: 5, Negative: true, By: kin.Rad(10)}, 3)
	if got := kin.Deg(c.Read().Q[5]); got > 340.1 {
		t.Errorf("axis 6 can't be brought back: %.2f deg", got)
	}
}

// A straight jog that an axis limit ends names that axis.
func TestStraightJogMeetsLimit(t *testing.T) {
	start := degs(0, 20, 10, 0, 60, 340)
	c := New(soapCell(t), &start)
	c.SetSpeed(100)
	hold(t, c, Action{Kind: JogAbout, Axis: 2, Frame: InTool}, 4)
	r := c.Read()
	if r.Block == nil || r.Block.Kind != AtLimit || r.Block.Axis != 6 {
		t.Fatalf("block %+v with axes %v", r.Block, r.Q)
	}
}

// A jog stops before a solid, names the pair, and can leave again.
func TestJogMeetsSolid(t *testing.T) {
	c := bench(t)
	c.SetSpeed(250)
	hold(t, c, Action{Kind: JogAxis, Axis: 0, Negative: true}, 8)
	r := c.Read()
	if r.Block == nil || r.Block.Kind != AtSolid || r.Block.B != "post" {
		// Above the post nothing is in the way; lower, it is.
		c.Advance(0.3)
		c = New(soapCell(t), &above)
		c.SetSpeed(100)
		hold(t, c, Action{Kind: JogAlong, Axis: 1, Frame: InBase, By: 130}, 4)
		c.Advance(0.3)
		hold(t, c, Action{Kind: JogAlong, Axis: 2, Negative: true, Frame: InBase, By: 150}, 4)
		c.Advance(0.3)
		hold(t, c, Action{Kind: JogAlong, Axis: 1, Negative: true, Frame: InBase}, 8)
		r = c.Read()
	}
	if r.Block == nil || r.Block.Kind != AtSolid {
		t.Fatalf("block %+v, gap %+v, at %v", r.Block, r.Gap, r.TCP.T)
	}
	if r.Gap.MM < 0 || r.Gap.MM > 0.1 {
		t.Errorf("it stopped %.3f mm from %s", r.Gap.MM, r.Gap.B)
	}
	if !strings.Contains(r.Block.Text, "would touch "+r.Block.B) || len(r.Block.Help) == 0 {
		t.Errorf("block %+v", r.Block)
	}
	c.Advance(0.3)
	hold(t, c, Action{Kind: JogAlong, Axis: 1, Frame: InBase, By: 20}, 3)
	if d := c.Read().Gap.MM; d < 15 {
		t.Errorf("led away again, the gap is %.1f mm", d)
	}
}

// Near a solid the arm is slow enough to brake in front of it.
func TestSlowBesideSolids(t *testing.T) {
	c := bench(t)
	c.SetSpeed(250)
	for range 200 {
		c.Grip(Middle)
		if c.Hold(down) != nil {
			break
		}
		before := c.Read().Gap.MM
		c.Advance(tick)
		r := c.Read()
		if limit := crawl + math.Sqrt(2*slowing*before); r.FastestMMS > limit*1.001 {
			t.Fatalf("%.1f mm/s at %.2f mm", r.FastestMMS, before)
		}
	}
}

func TestGoTo(t *testing.T) {
	c := bench(t)
	c.SetSpeed(250)
	to := degs(30, 10, 20, 5, 50, -20)
	hold(t, c, Action{Kind: GoTo, Target: to, Name: "there"}, 6)
	r := c.Read()
	for i := range to {
		almost(t, "axis", kin.Deg(r.Q[i]), kin.Deg(to[i]), 1e-9)
	}
	// Again: there is nowhere to go, and nothing moves.
	c.Advance(0.3)
	hold(t, c, Action{Kind: GoTo, Target: to, Name: "there"}, 0.1)
	if c.Moving() {
		t.Error("the arm moves to where it stands")
	}
}

func TestGoStraight(t *testing.T) {
	c := bench(t)
	c.SetSpeed(100)
	from := c.Read().TCP.T
	to := degs(12, 15, 20, 0, 55, 0)
	var f kin.Frames
	c.cell.Arm.Chain.Forward(&to, &f)
	end := f[6].Mul(&c.tool.TCP)
	dir := end.T.Sub(from)
	a := Action{Kind: GoStraight, Target: to, Name: "there"}
	for range 400 {
		c.Grip(Middle)
		if err := c.Hold(a); err != nil {
			t.Fatal(err)
		}
		c.Advance(0.01)
		p := c.Read().TCP.T.Sub(from)
		if off := p.Cross(dir.Unit()).Norm(); off > 1e-6 {
			t.Fatalf("%g mm off the straight line", off)
		}
	}
	if d := c.Read().TCP.T.Sub(end.T).Norm(); d > 1e-6 {
		t.Errorf("it ends %g mm from the pose", d)
	}
}

// A sliding axis is jogged in mm.
func TestPrismaticAxis(t *testing.T) {
	m, _ := arm.Builtin("hazel")
	rows := m.Chain.Rows()
	rows[2] = kin.DH{D: 300, Prismatic: true}
	n := *m
	n.Chain = kin.NewChain(kin.IdentityPose, rows, kin.IdentityPose)
	n.Limits[2] = arm.Range{Min: 0, Max: 100}
	n.Speed[2], n.Accel[2] = 400, 2000
	n.Solids = nil
	c := New(&cell.Cell{Arm: &n, Mount: kin.IdentityPose}, &kin.Joints{})
	c.SetSpeed(50)
	hold(t, c, Action{Kind: JogAxis, Axis: 2, By: 20}, 2)
	almost(t, "axis 3", c.Read().Q[2], 20, 1e-9)
	p := c.RecordAxes("slid")
	almost(t, "axis 3 as it is written", p.Written(2), 20, 1e-9)
	c.Advance(0.3)
	hold(t, c, Action{Kind: JogAxis, Axis: 2}, 4)
	if b := c.Read().Block; b == nil || !strings.Contains(b.Text, "100.0 mm") {
		t.Errorf("block %+v", b)
	}
}

// Time may be told in any pieces.
func TestAdvanceInPieces(t *testing.T) {
	run := func(dt float64) kin.Joints {
		c := bench(t)
		for i := range 60 {
			if i%3 == 0 {
				c.Grip(Middle)
				if err := c.Hold(down); err != nil {
					t.Fatal(err)
				}
			}
			for n := range int(0.024/dt + 0.5) {
				_ = n
				c.Advance(dt)
			}
		}
		return c.Read().Q
	}
	want := run(0.024)
	for _, dt := range []float64{0.001, 0.003, 0.008, 0.012} {
		if got := run(dt); got != want {
			t.Errorf("in pieces of %v s the arm gets to %v, want %v", dt, got, want)
		}
	}
}
