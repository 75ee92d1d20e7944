package sweep_test

import (
	"math"
	"reflect"
	"sync"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/sweep"
	"posework/kin"
)

// contains checks that an answer is done, holds want and is no wider than tol.
func contains(t *testing.T, what string, x sweep.Extreme, want, tol float64) {
	t.Helper()
	if x.None || !x.Done {
		t.Errorf("%s: none %v, done %v", what, x.None, x.Done)
	}
	if !(x.Lo <= want+1e-7 && want <= x.Hi+1e-7) || x.Hi-x.Lo > tol+1e-6 {
		t.Errorf("%s: [%.9g, %.9g], want %.9g within %g", what, x.Lo, x.Hi, want, tol)
	}
}

// Axis 1 turns, all else stands still: every speed is a radius times a rate.
func TestTurningAxisOne(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	c.Tools[0].Solids = []cell.ToolSolid{{Name: "cross", Shape: rail(vec(-100, 0, 100), vec(100, 0, 100), 10)}}
	p := alongAxes(c, degrees(-80, 20, 10, 0, 60, 0), degrees(100, 20, 10, 0, 60, 0))
	const rate = 0.5 // of the way a second
	turn := math.Pi * rate
	tr := byHand(c, p, steady(1, rate))
	w := sweep.New(tr, sweep.Options{})
	s := whole(tr)
	var e motion.Eval
	p.At(0, &e)
	contains(t, "tool speed", w.ToolSpeed(s), turn*math.Hypot(e.TCP.T.X, e.TCP.T.Y), sweep.TolMMS)
	contains(t, "least tool speed", w.SlowestTool(s), turn*math.Hypot(e.TCP.T.X, e.TCP.T.Y), sweep.TolMMS)
	contains(t, "speed of axis 1", w.AxisSpeed(s, 0), turn, sweep.TolRadS)
	contains(t, "speed of axis 2", w.AxisSpeed(s, 1), 0, sweep.TolRadS)
	contains(t, "room of axis 1", w.AxisRoom(s, 0), degrees(70)[0], sweep.TolRad)
	contains(t, "room of axis 5", w.AxisRoom(s, 4), degrees(60)[0], sweep.TolRad)
	contains(t, "wrist", w.SingularityRoom(s, sweep.Wrist), degrees(60)[0], sweep.TolRad)

	// The fastest point is on the arm or on the cross, farthest from axis 1.
	far := 0.0
	for _, x := range c.Arm.Solids {
		for _, p := range []kin.Vec{x.From, x.To} {
			y := e.Frames[x.Link].Apply(p)
			far = math.Max(far, math.Hypot(y.X, y.Y)+x.Radius)
		}
	}
	for _, p := range []kin.Vec{{X: -100, Z: 100}, {X: 100, Z: 100}} {
		y := e.Frames[6].Apply(p)
		far = math.Max(far, math.Hypot(y.X, y.Y)+10)
	}
	x := w.PointSpeed(s)
	contains(t, "point speed", x.Extreme, turn*far, sweep.TolMMS)
	if x.Body.Name != "pin cross" {
		t.Errorf("fastest body %q, want the cross", x.Body.Name)
	}

	contains(t, "tilt", w.Tilt(s, e.TCP.R.Z), 2*math.Asin(math.Abs(math.Hypot(e.TCP.R.Z.X, e.TCP.R.Z.Y))), sweep.TolRad)
	contains(t, "tilt from axis 1", w.Tilt(s, vec(0, 0, -1)), math.Acos(-e.TCP.R.Z.Z), sweep.TolRad)
	contains(t, "tilt from behind", w.Tilt(s, vec(0, 0, 1)), math.Acos(e.TCP.R.Z.Z), sweep.TolRad)

	// The tip runs on a circle about axis 1.
	radius := math.Hypot(e.TCP.T.X, e.TCP.T.Y)
	centre := vec(0, 0, e.TCP.T.Z)
	contains(t, "off its circle", w.Deviation(s, sweep.Circle(centre, vec(0, 0, 1), radius)), 0, sweep.TolMM)
	contains(t, "off a wider circle", w.Deviation(s, sweep.Circle(centre, vec(0, 0, 1), radius+7)), 7, sweep.TolMM)
	contains(t, "off a higher circle", w.Deviation(s, sweep.Circle(centre.Add(vec(0, 0, 9)), vec(0, 0, -1), radius)), 9, sweep.TolMM)
	contains(t, "off its arc", w.Deviation(s, sweep.Arc(centre, vec(0, 0, 1), e.TCP.T, math.Pi)), 0, sweep.TolMM)
	chord := 2 * radius * math.Sin(math.Pi/8)
	contains(t, "off an arc that ends early", w.Deviation(s, sweep.Arc(centre, vec(0, 0, 1), e.TCP.T, math.Pi*3/4)), chord, sweep.TolMM)
	contains(t, "gap of its arc", w.Gap(s, sweep.Arc(centre, vec(0, 0, 1), e.TCP.T, math.Pi)), 0, sweep.TolMM)
	contains(t, "gap of half a circle", w.Gap(s, sweep.Circle(centre, vec(0, 0, 1), radius)), radius*math.Sqrt2, sweep.TolMM)
	contains(t, "nearest to its centre", w.Nearest(s, centre), radius, sweep.TolMM)

	// From one place the farthest point of a circle lies between those first asked.
	sin, cos := math.Sincos(math.Pi / 8)
	off := centre.Add(vec(-50*cos, -50*sin, 0)).Sub(e.TCP.T)
	contains(t, "gap of a circle from one place", w.Gap([]sweep.Span{{Piece: 0}}, sweep.Arc(centre.Sub(off), vec(0, 0, 1), centre.Sub(off).Add(vec(100, 0, 0)), 2*math.Pi)), 150, sweep.TolMM)

	// Points and figures in a corner of the way.
	p.At(0.3, &e)
	contains(t, "nearest to a place passed", w.Nearest(s, e.TCP.T), 0, sweep.TolMM)
	contains(t, "nearest to a place 12 mm above", w.Nearest(s, e.TCP.T.Add(vec(0, 0, 12))), 12, sweep.TolMM)
}

// A square is traced without its last 5 mm, with a side 0.3 mm out.
func TestSquare(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	tr := plan(t, c, `tool: pin
poses:
  a: {xyz: [450, -60, 300], rpy: [180, 0, 0]}
  b: {xyz: [570, -60, 300], rpy: [180, 0, 0]}
  c: {xyz: [570, 60, 300], rpy: [180, 0, 0]}
  d: {xyz: [450, 60.3, 300], rpy: [180, 0, 0]}
  e: {xyz: [450, -55, 300], rpy: [180, 2, 0]}
steps:
- {to: a, path: joint, speed: 50 %, end: stop}
- {to: b, path: line, speed: 100 mm/s, end: stop}
- {to: c, path: line, speed: 100 mm/s, end: stop}
- {to: d, path: line, speed: 100 mm/s, end: stop}
- {to: e, path: line, speed: 100 mm/s, end: stop}
`)
	var lines []sweep.Span
	for i := range tr.Pieces {
		if tr.Pieces[i].Kind == motion.LineMove {
			lines = append(lines, sweep.Span{Piece: i, S1: tr.Pieces[i].Path.Length()})
		}
	}
	w := sweep.New(tr, sweep.Options{})
	square := sweep.Polyline([]kin.Vec{vec(450, -60, 300), vec(570, -60, 300), vec(570, 60, 300), vec(450, 60, 300)}, true)
	if l := square.Length(); !(math.Abs(l-480) <= 1e-9) {
		t.Errorf("length %v, want 480", l)
	}
	contains(t, "deviation", w.Deviation(lines, square), 0.3, sweep.TolMM)
	// The last 5 mm are open; the point in their middle is 2.5 mm from either end.
	contains(t, "gap", w.Gap(lines, square), 2.5, sweep.TolMM)
	contains(t, "tilt", w.Tilt(lines, vec(0, 0, -1)), degrees(2)[0], sweep.TolRad)
	contains(t, "speed", w.ToolSpeed(lines), 100, sweep.TolMMS)
	contains(t, "closed", w.Nearest(lines[3:], vec(450, -60, 300)), 5, sweep.TolMM)

	// In the middle of the sides the speed is steady; a span may end anywhere.
	mid := []sweep.Span{{Piece: lines[0].Piece, S0: 30, S1: 90}, {Piece: lines[1].Piece, S0: 30, S1: 90}}
	contains(t, "least speed", w.SlowestTool(mid), 100, sweep.TolMMS)
	contains(t, "least speed with the ends", w.SlowestTool(lines), 0, sweep.TolMMS)
	one := sweep.Polyline([]kin.Vec{vec(450, -60, 310), vec(570, -60, 310)}, false)
	contains(t, "off a segment", w.Deviation(lines[:1], one), 10, sweep.TolMM)

	// What the programmed speed asks of the axes, by differences of the path.
	for axis := range 6 {
		var e motion.Eval
		speed, accel := 0.0, 0.0
		for _, s := range lines {
			p := tr.Pieces[s.Piece].Path
			for k := range 2001 {
				p.At(s.S1*float64(k)/2000, &e)
				speed = math.Max(speed, 100*math.Abs(e.DQ[axis]))
				accel = math.Max(accel, 100*100*math.Abs(e.DDQ[axis]))
			}
		}
		ds, da := w.AxisDemand(lines, axis)
		contains(t, "demanded speed", ds, speed, math.Max(sweep.TolRadS, 0.01*speed))
		contains(t, "demanded acceleration", da, accel, math.Max(c.Arm.Accel[axis]/100, 0.01*accel))
	}
}

// The bar is held from the chute to the crate.
func TestHeldPart(t *testing.T) {
	c := soapCell(t)
	c.Parts = append(c.Parts, cell.Part{Name: "spare", Shape: box(0, 0, 0, 90, 60, 30), Pose: at(420, 230, 75)})
	tr := plan(t, c, `tool: cup
poses:
  above: {xyz: [520, -420, 250], rpy: [180, 0, 0]}
  pick: {xyz: [520, -420, 150], rpy: [180, 0, 0]}
  crate: {xyz: [420, 230, 190], rpy: [180, 0, 0]}
  drop: {xyz: [420, 230, 130], rpy: [180, 0, 0]}
steps:
- {to: above, path: joint, speed: 30 %, end: stop}
- {to: pick, path: line, speed: 60 mm/s, end: stop}
- {set: {vacuum: on}}
- {wait: {part-held: on, at-most: 2 s}}
- {to: above, path: line, speed: 60 mm/s, end: stop}
- {to: crate, path: joint, speed: 30 %, end: stop}
- {to: drop, path: line, speed: 60 mm/s, end: stop}
`)
	all, moving := everything(tr)
	w := sweep.New(tr, sweep.Options{})
	pairs := w.Clearance(all, func(a, b sweep.Body) float64 { return 50 })
	seen := map[sweep.Body]bool{}
	for _, p := range pairs {
		seen[p.A], seen[p.B] = true, true
		if p.A.Kind == sweep.Held && (p.B.Kind == sweep.Tool || p.B.Kind == sweep.Link && p.B.Index >= 5) {
			t.Errorf("the held part is measured against %s, which carries it", p.B.Name)
		}
		if p.A.Kind > sweep.Held {
			t.Errorf("A is %s, which does not move", p.A.Name)
		}
		if p.Lo > p.Hi {
			t.Errorf("%s and %s: [%v, %v]", p.A.Name, p.B.Name, p.Lo, p.Hi)
		}
	}
	held := sweep.Body{Kind: sweep.Held, Index: 0, Name: "bar"}
	if !seen[held] || !seen[sweep.Body{Kind: sweep.Part, Index: 0, Name: "bar"}] {
		t.Error("the bar should be seen loose and held")
	}
	// Held by its top, 30 mm high, over the spare whose top is at 90: from 130 down
	// its bottom is at 100.
	contains(t, "bar and spare", onlyPair(t, pairs, "bar", "spare").Extreme, 10, sweep.TolMM)
	// It leaves the chute, where it stood.
	contains(t, "bar and chute", onlyPair(t, pairs, "bar", "chute").Extreme, 0, sweep.TolMM)
	// It passes through the zone over the crate at a joint move's speed, and so do
	// others; its slowest answer is at least its own.
	x := w.ZoneSpeed(moving, 2)
	if x.None || x.Hi > math.Max(250, x.Lo+sweep.TolMMS)+1e-6 {
		t.Errorf("zone speed %+v", x)
	}
	contains(t, "speed near the crate floor", w.SpeedNear(moving[len(moving)-1:], sweep.Body{Kind: sweep.Solid, Index: 3}, 100), 60, sweep.TolMMS)
}

// A point of the tool runs through a zone of its own speed.
func TestZoneSpeed(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	c.Tools[0].Solids = []cell.ToolSolid{{Name: "bar", Shape: box(0, 0, 150, 400, 20, 20)}}
	p := alongAxes(c, degrees(-60, 30, 0, 0, 60, 0), degrees(60, 30, 0, 0, 60, 0))
	tr := byHand(c, p, steady(1, 0.5))
	var e motion.Eval
	p.At(0.5, &e)
	turn := degrees(120)[0] * 0.5
	tip := e.TCP.T
	// All of the zone lies within 30 mm of where the tip passes; the fastest point
	// in it is where the zone is farthest from axis 1, if the tool gets there.
	c.Zones = []cell.Zone{{Name: "zone", Shape: box(tip.X, tip.Y, tip.Z, 60, 60, 200), Rule: cell.AtMost, Speed: 10}}
	x := sweep.New(tr, sweep.Options{}).ZoneSpeed(whole(tr), 0)
	contains(t, "zone speed", x.Extreme, turn*math.Hypot(tip.X+30, tip.Y+30), sweep.TolMMS)
	if x.Body.Name != "pin bar" {
		t.Errorf("body %q, want the bar", x.Body.Name)
	}
	c.Zones[0].Speed = 2000
	x = sweep.New(tr, sweep.Options{}).ZoneSpeed(whole(tr), 0)
	if x.None || x.Hi > 2000 {
		t.Errorf("under the zone's limit: %+v", x)
	}
	c.Zones[0].Shape.P = vec(-800, 0, 2500)
	if x = sweep.New(tr, sweep.Options{}).ZoneSpeed(whole(tr), 0); !x.None || !x.Done {
		t.Errorf("a zone that nothing enters: %+v", x)
	}
}

func TestSpeedNear(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	tr := plan(t, c, `tool: pin
poses:
  a: {xyz: [500, -300, 300], rpy: [180, 0, 0]}
  b: {xyz: [500, 300, 300], rpy: [180, 0, 0]}
steps:
- {to: a, path: joint, speed: 50 %, end: stop}
- {to: b, path: line, speed: 200 mm/s, end: stop}
`)
	c.Solids = []cell.Solid{
		{Name: "start", Shape: ball(vec(500, -300, 250), 30)},
		{Name: "middle", Shape: ball(vec(500, 0, 250), 30)},
		{Name: "away", Shape: ball(vec(500, 0, 250), 5)},
	}
	_, line := everything(tr) // the arm stands at the first pose at the start
	w := sweep.New(tr, sweep.Options{})
	contains(t, "in the middle", w.SpeedNear(line, sweep.Body{Kind: sweep.Solid, Index: 1}, 25), 200, sweep.TolMMS)
	if x := w.SpeedNear(line, sweep.Body{Kind: sweep.Solid, Index: 2}, 25); !x.None || !x.Done {
		t.Errorf("never near: %+v", x)
	}
	// Near the start only the ramp counts: the tip is 20 mm from the ball at first
	// and leaves 25 mm of it after sqrt(55^2-50^2) mm, at sqrt(2 a s).
	s := math.Sqrt(55*55 - 50*50)
	contains(t, "on the ramp", w.SpeedNear(line, sweep.Body{Kind: sweep.Solid, Index: 0}, 25), math.Min(200, math.Sqrt(2*2500*s)), sweep.TolMMS)
}

// Without bounds nothing is proved; with bounds on narrow intervals only, all is.
func TestUnboundedPath(t *testing.T) {
	c := bareCell(t, "hazel", at(0, 0, 180))
	tip(c, 2)
	c.Solids = []cell.Solid{{Name: "post", Shape: post(450, 60, 0, 20, 900)}}
	p := alongAxes(c, degrees(-40, 20, 10, 0, 60, 0), degrees(40, 30, 0, 0, 50, 0))
	tr := byHand(c, p, steady(1, 1))
	all := func(a, b sweep.Body) float64 { return math.Inf(1) }
	want := sweep.New(tr, sweep.Options{}).Clearance(whole(tr), all)

	p.widest = 0.01
	w := sweep.New(tr, sweep.Options{})
	for i, x := range w.Clearance(whole(tr), all) {
		if !x.Done || !(math.Abs(x.Hi-want[i].Hi) <= sweep.TolMM+0.1*math.Abs(want[i].Hi)) {
			t.Errorf("%s and %s: [%v, %v], want about %v", x.A.Name, x.B.Name, x.Lo, x.Hi, want[i].Hi)
		}
	}
	if x := w.ToolSpeed(whole(tr)); !x.Done || x.Hi-x.Lo > sweep.TolMMS+1e-6 {
		t.Errorf("tool speed %+v", x)
	}

	p.widest = -1
	w = sweep.New(tr, sweep.Options{Work: 500})
	for _, x := range w.Clearance(whole(tr), all) {
		if x.Done || !math.IsInf(x.Lo, -1) {
			t.Errorf("%s and %s: [%v, %v] proved without bounds", x.A.Name, x.B.Name, x.Lo, x.Hi)
		}
	}
	c.Zones = []cell.Zone{{Name: "zone", Shape: c.Solids[0].Shape}}
	w = sweep.New(tr, sweep.Options{Work: 500})
	for what, x := range map[string]sweep.Extreme{
		"tool speed": w.ToolSpeed(whole(tr)), "point speed": w.PointSpeed(whole(tr)).Extreme,
		"axis room": w.AxisRoom(whole(tr), 0), "axis speed": w.AxisSpeed(whole(tr), 0),
		"tilt": w.Tilt(whole(tr), vec(1, 0, 0)), "zone speed": w.ZoneSpeed(whole(tr), 0).Extreme,
		"deviation": w.Deviation(whole(tr), sweep.Circle(vec(0, 0, 0), vec(0, 0, 1), 100)),
		"wrist":     w.SingularityRoom(whole(tr), sweep.Wrist),
	} {
		if x.Done {
			t.Errorf("%s: %+v is called done", what, x)
		}
	}
}

// A bound on work makes answers wide, never wrong.
func TestLittleWork(t *testing.T) {
	c := soapCell(t)
	tr := plan(t, c, packProgram(1))
	all, moving := everything(tr)
	full, short := sweep.New(tr, sweep.Options{}), sweep.New(tr, sweep.Options{Work: 40})
	need := func(a, b sweep.Body) float64 { return math.Inf(1) }
	exact, wide := full.Clearance(all, need), short.Clearance(all, need)
	undone := 0
	for i := range wide {
		if !wide[i].Done {
			undone++
		}
		if wide[i].Lo > exact[i].Hi || wide[i].Hi < exact[i].Lo {
			t.Errorf("%s and %s: [%v, %v] with little work, [%v, %v] with enough", wide[i].A.Name, wide[i].B.Name, wide[i].Lo, wide[i].Hi, exact[i].Lo, exact[i].Hi)
		}
	}
	if undone == 0 {
		t.Error("40 intervals should not be enough")
	}
	a, b := full.PointSpeed(moving), short.PointSpeed(moving)
	if b.Done || b.Lo > a.Hi || b.Hi < a.Lo {
		t.Errorf("point speed %+v with little work, %+v with enough", b, a)
	}
	if x := short.ZoneSpeed(moving, 2); x.Hi < full.ZoneSpeed(moving, 2).Lo {
		t.Errorf("zone speed %+v with little work", x)
	}
}

// TestDeterminism asks in different orders, and in eight goroutines at once.
func TestDeterminism(t *testing.T) {
	c := soapCell(t)
	tr := plan(t, c, packProgram(1))
	all, moving := everything(tr)
	need := func(a, b sweep.Body) float64 { return 30 }
	questions := []func(w *sweep.Sweep) any{
		func(w *sweep.Sweep) any { return w.Clearance(all, need) },
		func(w *sweep.Sweep) any { return w.PointSpeed(moving) },
		func(w *sweep.Sweep) any { return w.ToolSpeed(moving) },
		func(w *sweep.Sweep) any { return w.AxisSpeed(moving, 3) },
		func(w *sweep.Sweep) any { return w.SingularityRoom(all, sweep.Shoulder) },
		func(w *sweep.Sweep) any { return w.SpeedNear(moving, sweep.Body{Kind: sweep.Solid, Index: 1}, 100) },
		func(w *sweep.Sweep) any { return w.ZoneSpeed(moving, 2) },
		func(w *sweep.Sweep) any { return w.ZoneClearance(all, 2, 100) },
		func(w *sweep.Sweep) any { return w.Tilt(moving, vec(0, 0, -1)) },
	}
	want := make([]any, len(questions))
	w := sweep.New(tr, sweep.Options{})
	for i, q := range questions {
		want[i] = q(w)
	}
	var wg sync.WaitGroup
	for k := range 8 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			w := sweep.New(tr, sweep.Options{})
			for j := range questions {
				i := (j*5 + k) % len(questions)
				if got := questions[i](w); !reflect.DeepEqual(got, want[i]) {
					t.Errorf("question %d: %+v, first %+v", i, got, want[i])
				}
			}
		}()
	}
	wg.Wait()
}

func TestNothingToMeasure(t *testing.T) {
	c := bareCell(t, "alder", at(0, 0, 100))
	rows := c.Arm.Chain.Rows()
	rows[1].Alpha, rows[2].Alpha = 0.2, 0.3
	c.Arm.Chain = kin.NewChain(kin.IdentityPose, rows, kin.IdentityPose)
	p := alongAxes(c, degrees(0, 45, 45, 0, 30, 0), degrees(10, 45, 45, 0, 30, 0))
	tr := byHand(c, p, steady(1, 1))
	w := sweep.New(tr, sweep.Options{})
	if x := w.SingularityRoom(whole(tr), sweep.Shoulder); !x.None {
		t.Errorf("an arm without alignments: %+v", x)
	}
	if s, a := w.AxisDemand(whole(tr), 0); !s.None || !a.None {
		t.Error("a joint move has no programmed tool speed")
	}
	for what, x := range map[string]sweep.Extreme{
		"room": w.AxisRoom(nil, 0), "speed": w.ToolSpeed(nil), "point": w.PointSpeed(nil).Extreme, "zone": w.SingularityRoom(nil, sweep.Elbow),
		"gap": w.Gap(nil, sweep.Circle(vec(0, 0, 0), vec(0, 0, 1), 10)), "nearest": w.Nearest(nil, vec(0, 0, 0)),
	} {
		if !x.None || !x.Done {
			t.Errorf("%s without spans: %+v", what, x)
		}
	}
	// A place, and more than the piece has.
	x := w.AxisRoom([]sweep.Span{{Piece: 0, S0: 0.5, S1: 0.5}}, 0)
	contains(t, "one place", x, c.Arm.Limits[0].Max-degrees(5)[0], 1e-6)
	x = w.AxisRoom([]sweep.Span{{Piece: 0, S0: -3, S1: 7}}, 0)
	contains(t, "clipped", x, c.Arm.Limits[0].Max-degrees(10)[0], sweep.TolRad)
}
