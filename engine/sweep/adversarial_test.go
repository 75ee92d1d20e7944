package sweep_test

import (
	"math"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/shape"
	"posework/engine/sweep"
	"posework/kin"
)

// whole is the span of the only piece.
func whole(tr *motion.Trajectory) []sweep.Span {
	return []sweep.Span{{Piece: 0, S1: tr.Pieces[0].Path.Length()}}
}

// tip is a ball at the tool centre point.
func tip(c *cell.Cell, radius float64) {
	c.Tools[0].Solids = []cell.ToolSolid{{Name: "tip", Shape: ball(c.Tools[0].TCP.T, radius)}}
}

func onlyPair(t *testing.T, pairs []sweep.PairExtreme, a, b string) sweep.PairExtreme {
	t.Helper()
	for _, p := range pairs {
		if p.A.Name == a && p.B.Name == b {
			return p
		}
	}
	t.Fatalf("no pair %s, %s", a, b)
	return sweep.PairExtreme{}
}

// A rod 1 mm thick is crossed by a tip not much thicker between two of the
// samples that 500 Hz would take.
func TestThinRod(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	tip(c, 0.4)
	p := alongAxes(c, degrees(-40, 20, 10, 0, 60, 0), degrees(40, 30, 0, 0, 50, 0))
	var e motion.Eval
	const crossed = 0.61803398875
	p.At(crossed, &e)
	// Across the way of the tip, through where it will be.
	up := e.V.Cross(vec(0.3, 0.2, 1)).Unit()
	c.Solids = []cell.Solid{{Name: "rod", Shape: rail(e.TCP.T.AddScaled(-200, up), e.TCP.T.AddScaled(200, up), 0.5)}}
	tr := byHand(c, p, steady(1, 2))
	for k := range 250 { // every 2 ms
		p.At(float64(k)/250, &e)
		if d := toPolyline([]kin.Vec{c.Solids[0].Shape.P, c.Solids[0].Shape.Q}, e.TCP.T) - 0.9; d <= 0 {
			t.Fatalf("the rod is not thin enough for this test: sample %d sees it", k)
		}
	}
	x := onlyPair(t, sweep.New(tr, sweep.Options{}).Clearance(whole(tr), func(a, b sweep.Body) float64 { return 5 }), "pin tip", "rod")
	if !x.Done || !(x.Hi < -0.8 && x.Lo <= -0.9 && x.Lo > -1.1) {
		t.Errorf("clearance [%v, %v], done %v; the tip goes 0.9 mm deep", x.Lo, x.Hi, x.Done)
	}
	if !(math.Abs(x.At.S-crossed) <= 1e-3) || !(math.Abs(x.At.Time-crossed/2) <= 1e-3) {
		t.Errorf("at s = %v, %v s; crossed at %v", x.At.S, x.At.Time, crossed)
	}
}

// A rod that is missed by 0.2 mm is missed, and by that.
func TestThinRodMissed(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	tip(c, 2)
	p := alongAxes(c, degrees(-40, 20, 10, 0, 60, 0), degrees(40, 30, 0, 0, 50, 0))
	var e motion.Eval
	p.At(0.4, &e)
	n := e.V.Cross(vec(0.3, 0.2, 1)).Unit() // across the way; the rod runs across both
	d := e.V.Unit().Cross(n)
	at := e.TCP.T.AddScaled(2.7, n)
	c.Solids = []cell.Solid{{Name: "rod", Shape: rail(at.AddScaled(-200, d), at.AddScaled(200, d), 0.5)}}
	tr := byHand(c, p, steady(1, 2))
	x := onlyPair(t, sweep.New(tr, sweep.Options{}).Clearance(whole(tr), func(a, b sweep.Body) float64 { return 5 }), "pin tip", "rod")
	// The way bends: the least distance is a little less than in this place.
	least := math.Inf(1)
	for k := range 2_000_001 {
		s := 0.39 + 0.02*float64(k)/2_000_000
		if k%20 != 0 && math.Abs(s-0.4) > 1e-3 {
			continue
		}
		p.At(s, &e)
		least = math.Min(least, toPolyline([]kin.Vec{c.Solids[0].Shape.P, c.Solids[0].Shape.Q}, e.TCP.T)-2.5)
	}
	if !x.Done || x.Lo > least || x.Hi < least-1e-6 || x.Hi-x.Lo > sweep.TolMM+1e-6 {
		t.Errorf("clearance [%v, %v], done %v, want %v inside", x.Lo, x.Hi, x.Done, least)
	}
	if x.Lo <= 0 {
		t.Errorf("clearance [%v, %v] does not prove that the rod is missed", x.Lo, x.Hi)
	}
}

// A speed peak 2 ms wide in a second of calm.
func TestSpeedPeak(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	p := alongAxes(c, degrees(0, 20, 10, 0, 60, 0), degrees(90, 20, 10, 0, 60, 0))
	var e motion.Eval
	p.At(0, &e)
	radius := math.Hypot(e.TCP.T.X, e.TCP.T.Y) // only axis 1 turns: the tip stays as far from it
	const calm, peak = 0.3, 0.9
	up := (peak - calm) / 0.001
	l := motion.Law{Phases: []motion.Phase{{V: calm}}}
	add := func(t0, dt, a float64) {
		last := l.Phases[len(l.Phases)-1]
		d := t0 - last.T
		l.Phases = append(l.Phases, motion.Phase{T: t0, S: last.S + d*(last.V+d*last.A/2), V: last.V + d*last.A, A: a})
		_ = dt
	}
	add(0.6171, 0.001, up)
	add(0.6181, 0.001, -up)
	add(0.6191, 1, 0)
	l.Length = 1
	tr := byHand(c, p, l)
	w := sweep.New(tr, sweep.Options{})
	x := w.ToolSpeed(whole(tr))
	want := peak * math.Pi / 2 * radius
	if !x.Done || !(x.Lo <= want+1e-6 && want <= x.Hi+1e-6) || x.Hi-x.Lo > sweep.TolMMS+1e-6 {
		t.Errorf("tool speed [%v, %v], want %v", x.Lo, x.Hi, want)
	}
	if !(math.Abs(x.At.Time-0.6181) <= 1e-4) {
		t.Errorf("at %v s, want 0.6181", x.At.Time)
	}
	axis := w.AxisSpeed(whole(tr), 0)
	if want := peak * math.Pi / 2; !(axis.Lo <= want+1e-9 && want <= axis.Hi+1e-9) || axis.Hi-axis.Lo > sweep.TolRadS+1e-9 {
		t.Errorf("speed of axis 1 [%v, %v], want %v", axis.Lo, axis.Hi, want)
	}
	slow := w.SlowestTool(whole(tr))
	if want := calm * math.Pi / 2 * radius; !(slow.Lo <= want+1e-6 && want <= slow.Hi+1e-6) || slow.Hi-slow.Lo > sweep.TolMMS+1e-6 {
		t.Errorf("least tool speed [%v, %v], want %v", slow.Lo, slow.Hi, want)
	}
}

// Axis 5 touches alignment exactly in the middle of the way and turns back; and
// passes through it.
func TestWristInTheMiddle(t *testing.T) {
	for _, through := range []bool{false, true} {
		c := bareCell(t, "hazel", at(0, 0, 180))
		p := alongAxes(c, degrees(10, 20, 10, 5, 0, 0), degrees(30, 30, 0, -5, 0, 20))
		if through {
			p.q0[4], p.q1[4] = -0.3, 0.6
		} else { // 0.4 (s - 1/2)^2
			p.q0[4], p.q1[4], p.q2[4] = 0.1, -0.4, 0.4
		}
		tr := byHand(c, p, steady(1, 1))
		x := sweep.New(tr, sweep.Options{}).SingularityRoom(whole(tr), sweep.Wrist)
		if !x.Done || x.Lo != 0 || x.Hi > sweep.TolRad {
			t.Errorf("through %v: wrist room [%v, %v], done %v, want 0", through, x.Lo, x.Hi, x.Done)
		}
		if !x.None && !(math.Abs(x.At.S-0.5) <= 0.06) {
			t.Errorf("through %v: at %v, want the middle", through, x.At.S)
		}
	}
}

// An arc of the tip passes a corner of a box by 0.1 mm, outside and inside.
func TestGrazedCorner(t *testing.T) {
	for _, by := range []float64{0.1, -0.1} {
		c := bareCell(t, "hazel", at(0, 0, 180))
		tip(c, 2)
		p := alongAxes(c, degrees(-30, 20, 10, 0, 60, 0), degrees(60, 20, 10, 0, 60, 0))
		var e motion.Eval
		p.At(0.37, &e)
		// The tip turns about axis 1; the corner points at it from outside, along
		// its diagonal.
		out := vec(e.TCP.T.X, e.TCP.T.Y, 0).Unit()
		turned := kin.FromRPY(0, 0, math.Atan2(out.Y, out.X)+math.Pi/4)
		half := 30.0
		centre := e.TCP.T.AddScaled(2+by+half*math.Sqrt2, out)
		c.Solids = []cell.Solid{{Name: "post", Shape: shape.Shape{Kind: shape.Box, P: centre, Rot: turned, Half: vec(half, half, 100)}}}
		tr := byHand(c, p, steady(1, 1))
		x := onlyPair(t, sweep.New(tr, sweep.Options{}).Clearance(whole(tr), func(a, b sweep.Body) float64 { return 20 }), "pin tip", "post")
		if !x.Done || !(x.Lo <= by && by <= x.Hi+1e-9) || x.Hi-x.Lo > sweep.TolMM+1e-6 {
			t.Errorf("clearance [%v, %v], done %v, want %v", x.Lo, x.Hi, x.Done, by)
		}
		if (by > 0) != (x.Lo > 0) || (by < 0) != (x.Hi < 0) {
			t.Errorf("clearance [%v, %v] does not tell a graze of %v", x.Lo, x.Hi, by)
		}
		c.Zones = []cell.Zone{{Name: "zone", Shape: c.Solids[0].Shape}}
		z := onlyPair(t, sweep.New(tr, sweep.Options{}).ZoneClearance(whole(tr), 0, 0), "pin tip", "zone")
		if entered := z.Hi < 0; entered != (by < 0) {
			t.Errorf("passed by %v mm: entered is %v", by, entered)
		}
	}
}

// A tool that slides along the face of a zone touches it and does not enter.
func TestSlidingAlongAZone(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	tip(c, 2)
	tr := plan(t, c, `tool: pin
poses:
  a: {xyz: [500, -200, 300], rpy: [180, 0, 0]}
  b: {xyz: [500, 200, 300], rpy: [180, 0, 90]}
steps:
- {to: a, path: joint, speed: 50 %, end: stop}
- {to: b, path: line, speed: 200 mm/s, end: stop}
`)
	c.Zones = []cell.Zone{{Name: "zone", Shape: box(602, 0, 300, 200, 600, 200), Rule: cell.AtMost, Speed: 50}}
	all, moving := everything(tr)
	w := sweep.New(tr, sweep.Options{})
	x := onlyPair(t, w.ZoneClearance(all, 0, 0), "pin tip", "zone")
	if x.Hi < 0 || x.Lo < -sweep.TolMM-1e-6 || x.Hi > sweep.TolMM || !x.Done {
		t.Errorf("clearance [%v, %v], done %v, want 0", x.Lo, x.Hi, x.Done)
	}
	// Exactly at a limit is not beyond it.
	if x := w.ToolSpeed(moving); x.Lo > 200 {
		t.Errorf("tool speed [%.17g, %.17g], programmed are 200", x.Lo, x.Hi)
	}
	if x := w.ZoneSpeed(moving, 0); x.Lo > 0 {
		t.Errorf("speed in the zone %+v, but it is only touched", x)
	}
}

// A fly-by corner passes the edge of a post that stands outside it by 0.1 mm,
// clear of it and into it. The lines themselves would meet 14 mm farther out.
func TestGrazingCorner(t *testing.T) {
	program := `tool: pin
poses:
  a: {xyz: [450, -120, 300], rpy: [180, 0, 0]}
  b: {xyz: [570, -120, 300], rpy: [180, 0, 0]}
  c: {xyz: [570, 60, 300], rpy: [180, 0, 0]}
steps:
- {to: a, path: joint, speed: 50 %, end: stop}
- {to: b, path: line, speed: 200 mm/s, end: fly-by 40 mm}
- {to: c, path: line, speed: 200 mm/s, end: stop}
`
	out := vec(1, -1, 0).Unit()
	c := bareCell(t, "hazel", at(0, 0, 180))
	tip(c, 2)
	tr := plan(t, c, program)
	corner := -1
	for i := range tr.Pieces {
		if tr.Pieces[i].Kind == motion.Corner {
			corner = i
		}
	}
	if corner < 0 {
		t.Fatal("no corner")
	}
	path := tr.Pieces[corner].Path
	var e motion.Eval
	// places calls f with the tip at many places of the corner.
	places := func(f func(p kin.Vec)) {
		const n = 20000
		for k := range n + 1 {
			path.At(path.Length()*float64(k)/n, &e)
			f(e.TCP.T)
		}
	}
	var apex kin.Vec
	far := math.Inf(-1)
	places(func(p kin.Vec) {
		if d := p.Dot(out); d > far {
			far, apex = d, p
		}
	})
	for _, by := range []float64{0.1, -0.1} {
		half := 20.0
		centre := apex.AddScaled(2+by+half*math.Sqrt2, out)
		c.Solids = []cell.Solid{{Name: "post", Shape: shape.Shape{Kind: shape.Box, P: centre, Rot: kin.Identity, Half: vec(half, half, 100)}}}
		least := math.Inf(1)
		places(func(p kin.Vec) {
			b := ball(p, 2)
			least = math.Min(least, shape.Distance(&b, &c.Solids[0].Shape))
		})
		all, _ := everything(tr)
		x := onlyPair(t, sweep.New(tr, sweep.Options{}).Clearance(all, func(a, b sweep.Body) float64 { return 20 }), "pin tip", "post")
		if !x.Done || !(x.Lo <= least && least <= x.Hi+1e-5) || x.Hi-x.Lo > sweep.TolMM+1e-6 || x.At.Piece != corner {
			t.Errorf("clearance [%v, %v] on piece %d, done %v; want %v on piece %d", x.Lo, x.Hi, x.At.Piece, x.Done, least, corner)
		}
		if (by > 0) != (x.Lo > 0) || (by < 0) != (x.Hi < 0) {
			t.Errorf("clearance [%v, %v] does not tell a graze of %v", x.Lo, x.Hi, by)
		}
	}
}
