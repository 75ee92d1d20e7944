package motion

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"runtime"
	"testing"

	"posework/engine/cell"
	"posework/kin"
)

// The tolerances of comparisons with outside data, which was made in double
// precision on paths of some hundred mm.
const (
	tolRefMM  = 1e-9
	tolRefRot = 1e-12
)

type reference struct {
	Trapezoids []struct {
		I         int
		VMax      float64 `json:"vmax"`
		AMax      float64 `json:"amax"`
		P0, P1    float64
		Requested float64 `json:"requested_T"`
		T         float64
		Samples   [][4]float64
	} `json:"kdl_trap"`
	Paths []struct {
		Name    string
		Length  float64
		Samples []struct {
			S float64
			T [4][4]float64
		}
	} `json:"kdl_paths"`
	Smooth []struct {
		I                  int
		L                  float64
		VMax               float64 `json:"vmax"`
		AMax               float64 `json:"amax"`
		JMax               float64 `json:"jmax"`
		Ta, Tv, Td, Tj1, T float64
	} `json:"double_s_rest_to_rest"`
}

func readReference(t *testing.T) *reference {
	t.Helper()
	data, err := os.ReadFile("testdata/motion.json")
	if err != nil {
		t.Fatal(err)
	}
	var r reference
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	return &r
}

func poseOf(m *[4][4]float64) kin.Pose {
	col := func(j int) kin.Vec { return kin.Vec{X: m[0][j], Y: m[1][j], Z: m[2][j]} }
	return kin.Pose{R: kin.Rot{X: col(0), Y: col(1), Z: col(2)}, T: col(3)}
}

// Lines and arcs agree with the samples of Orocos KDL 1.5.1 along their length:
// place and orientation.
func TestCurvesAgreeWithKDL(t *testing.T) {
	compared := 0
	for _, p := range readReference(t).Paths {
		n := len(p.Samples)
		from, to := poseOf(&p.Samples[0].T), poseOf(&p.Samples[n-1].T)
		var c curve
		switch p.Name {
		case "line":
			c = newStraight(&from, &to)
		case "circle_270deg_R100", "tilted_arc_with_rotation":
			a, fault := newCircular(&from, &to, poseOf(&p.Samples[n/2].T).T)
			if fault != arcOK {
				t.Fatalf("%s: fault %d", p.Name, fault)
			}
			c = a
		default:
			continue // KDL rounds corners by arcs of a circle, this package by curves of its own
		}
		compared++
		if !near(c.Length(), p.Length, tolRefMM) {
			t.Errorf("%s: length %.12g, want %.12g", p.Name, c.Length(), p.Length)
		}
		for _, s := range p.Samples {
			got, want := c.at(s.S).pose, poseOf(&s.T)
			inv := got.R.Inv()
			rel := inv.Mul(&want.R)
			_, turn := rel.AxisAngle()
			if d := got.T.Sub(want.T).Norm(); !(d <= tolRefMM) || !(turn <= 10*tolRefRot) {
				t.Errorf("%s at s = %g: off by %g mm and %g rad", p.Name, s.S, d, turn)
			}
		}
	}
	if compared != 3 {
		t.Errorf("compared %d paths, want 3", compared)
	}
}

// lineOf plans a straight move of a length in mm, far from anything that would
// slow an axis, with a speed and a tool acceleration.
func lineOf(t testing.TB, length, speed, accel float64, m cell.Motion) *Piece {
	t.Helper()
	c := soapCell(t)
	c.Parts, c.Events = nil, nil
	c.Motion = m
	c.Motion.ToolAccel = accel
	arm := *c.Arm
	for i := range arm.Speed { // an arm that never limits: the law is judged alone
		arm.Speed[i], arm.Accel[i] = 1e3, 1e6
	}
	c.Arm = &arm
	tr := mustPlan(t, c, fmt.Sprintf("tool: cup\nposes:\n  a: {xyz: [500, %.12g, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, %.12g, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 50 %%, end: stop}\n- {to: b, path: line, speed: %.12g mm/s, end: stop}\n",
		-length/2, length/2, speed), Options{})
	p := &tr.Pieces[len(tr.Pieces)-1]
	if tr.Halt != nil || p.Kind != LineMove {
		t.Fatalf("no line: halt %v, kind %d", tr.Halt, p.Kind)
	}
	return p
}

// A line that nothing limits but its speed and the tool's acceleration is the
// trapezoid of Orocos KDL 1.5.1, at every sample.
func TestTrapezoidAgreesWithKDL(t *testing.T) {
	for _, r := range readReference(t).Trapezoids {
		if r.Requested != 0 {
			continue // stretched to a longer time than the fastest
		}
		p := lineOf(t, math.Abs(r.P1-r.P0), r.VMax, r.AMax, cell.Motion{})
		if !near(p.Law.Length, r.T, 1e-9) {
			t.Errorf("trapezoid %d takes %.12g s, want %.12g", r.I, p.Law.Length, r.T)
		}
		for _, x := range r.Samples {
			s, v, a := p.Law.At(x[0])
			if !near(s, math.Abs(x[1]-r.P0), 1e-6) || !near(v, math.Abs(x[2]), 1e-6) {
				t.Errorf("trapezoid %d at %g s: place %.9g and speed %.9g, want %.9g and %.9g", r.I, x[0], s, v, math.Abs(x[1]-r.P0), math.Abs(x[2]))
			}
			// Accelerations jump where ramps end; there either side will do.
			if !(math.Abs(x[0]-r.VMax/r.AMax) <= 1e-6) && !(math.Abs(x[0]-(r.T-r.VMax/r.AMax)) <= 1e-6) && x[0] < r.T-1e-6 && !near(math.Abs(a), math.Abs(x[3]), 1e-3) {
				t.Errorf("trapezoid %d at %g s: acceleration %g, want %g", r.I, x[0], a, x[3])
			}
		}
	}
}

// Times of trapezoid moves: L. Biagiotti and C. Melchiorri, Trajectory Planning
// for Automatic Machines and Robots, ch. 3, the formula; numbers of our own.
func TestTrapezoidTimes(t *testing.T) {
	for _, tt := range []struct{ length, speed, accel, time, peak float64 }{
		{500, 250, 1000, 2.25, 250},
		{40, 250, 1000, 0.40, 200},
		{62.5, 250, 1000, 0.50, 250},
		{800, 1000, 2500, 1.20, 1000},
		{300, 250, 500, 1.70, 250},
	} {
		p := lineOf(t, tt.length, tt.speed, tt.accel, cell.Motion{})
		if !near(p.Law.Length, tt.time, 1e-6) {
			t.Errorf("%g mm at %g mm/s and %g mm/s2: %.9g s, want %g", tt.length, tt.speed, tt.accel, p.Law.Length, tt.time)
		}
		if _, v, _ := p.Law.At(tt.time / 2); !near(v, tt.peak, 1e-5*tt.peak) {
			t.Errorf("%g mm at %g mm/s: %.9g mm/s half way, want %g", tt.length, tt.speed, v, tt.peak)
		}
	}
}

// The jerk-limited law of a rest-to-rest move is the double S with a jerk of
// acceleration / ramp time: its duration is that of the reference profiles,
// which were made from closed formulas, wherever their constant jerk phase
// lasts as long as the ramp time.
func TestSmoothAgreesWithDoubleS(t *testing.T) {
	compared := 0
	for _, r := range readReference(t).Smooth {
		ramp := r.AMax / r.JMax
		// Both speed and acceleration reached: the ramp takes its full time.
		if r.Tv <= 0 || r.Ta < 2*ramp-1e-12 || r.L > 900 || r.VMax > 5000 {
			continue
		}
		compared++
		p := lineOf(t, r.L, r.VMax, r.AMax, cell.Motion{Law: cell.Smooth, RampTime: ramp})
		if !near(p.Law.Length, r.T, 1e-4*r.T) {
			t.Errorf("double S %d takes %.9g s, want %.9g", r.I, p.Law.Length, r.T)
		}
		for _, ph := range p.Law.Phases {
			if !(math.Abs(ph.J) <= r.JMax*(1+1e-3)) {
				t.Errorf("double S %d: jerk %g, at most %g", r.I, ph.J, r.JMax)
				break
			}
		}
	}
	if compared < 5 {
		t.Errorf("compared %d profiles, want at least 5", compared)
	}
}

// All axes start and stop together, and the slowest sets the time. J. J. Craig,
// Introduction to Robotics, ch. 7, the idea; numbers of our own: alone the axes
// would take 1.05, 0.489898 and 0.20 s.
func TestSynchronisedAxes(t *testing.T) {
	c := soapCell(t)
	arm := *c.Arm
	for i, v := range []float64{120, 150, 300} {
		arm.Speed[i] = kin.Rad(v)
		arm.Accel[i] = kin.Rad([]float64{400, 500, 1000}[i])
	}
	c.Arm = &arm
	tr := mustPlan(t, c, "tool: cup\nposes:\n  a: {axes: [0, 0, 0, 0, 60, 0]}\n  b: {axes: [90, 30, 10, 0, 60, 0]}\nsteps:\n- {to: a, path: joint, speed: 100 %, end: stop}\n- {to: b, path: joint, speed: 100 %, end: stop}\n", Options{})
	if !near(tr.Duration, 1.05, 1e-6) {
		t.Errorf("the move takes %.9g s, want 1.05", tr.Duration)
	}
	var e State
	tr.At(tr.Duration/2, &e)
	for i, want := range []float64{45, 15, 5} {
		if !near(kin.Deg(e.Q[i]), want, 1e-6) {
			t.Errorf("half way axis %d stands at %.9g deg, want %g", i+1, kin.Deg(e.Q[i]), want)
		}
	}
}

// A frame from three poses: J. J. Craig, Introduction to Robotics, ch. 2, the
// construction; numbers of our own, recalculated apart from this code.
func TestTaughtFrame(t *testing.T) {
	c := soapCell(t)
	tr := mustPlan(t, c, `
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  o: {xyz: [640, -180, 310], rpy: [180, 0, 0]}
  x: {xyz: [940, -176, 313], rpy: [180, 0, 0]}
  p: {xyz: [638, 70, 316], rpy: [180, 0, 0]}
frames:
  bed: {origin: o, along-x: x, in-plane: p}
steps:
- {to: home, path: joint, speed: 20 %, end: stop}
`, Options{})
	got := tr.Frames[0].Pose
	point := got.Apply(kin.Vec{X: 100, Y: 50, Z: 20})
	if want := (kin.Vec{X: 739.114217, Y: -129.167168, Z: 332.189980}); !(point.Sub(want).Norm() <= 2e-6) {
		t.Errorf("the point (100, 50, 20) lies at %v, want %v", point, want)
	}
	roll, pitch, yaw := got.R.RPY()
	for i, v := range [][2]float64{{float64(roll), 1.371688}, {float64(pitch), -0.572888}, {float64(yaw), 0.763898}} {
		if !near(kin.Deg(v[0]), v[1], 1e-6) {
			t.Errorf("angle %d is %.9g deg, want %g", i, kin.Deg(v[0]), v[1])
		}
	}
}

// A tool centre point from noisy touches, by least squares: own data,
// recalculated apart from this code with the standard library of Python.
func TestTaughtTool(t *testing.T) {
	c := soapCell(t)
	c.Tools = []cell.Tool{{Name: "bare", TCP: kin.IdentityPose}}
	c.Parts, c.Events = nil, nil
	touches := []string{
		"{xyz: [588.300, 144.800, 430.100], rpy: [180, 0, 0]}",
		"{xyz: [665.096, 145.400, 418.007], rpy: [180, 25, 0]}",
		"{xyz: [510.696, 141.016, 406.747], rpy: [160, -20, 45]}",
		"{xyz: [564.146, 108.474, 422.235], rpy: [-165, 10, -60]}",
		"{xyz: [568.174, 179.116, 425.070], rpy: [170, 15, 100]}",
		"{xyz: [703.473, 132.238, 396.464], rpy: [-170, -30, 150]}",
	}
	for _, tt := range []struct {
		n         int
		tcp       kin.Vec
		mean, max float64
	}{
		{4, kin.Vec{X: 11.669983, Y: -5.245986, Z: 179.811102}, 0.2920, 0.4428},
		{6, kin.Vec{X: 11.989806, Y: -5.100516, Z: 179.862695}, 0.3731, 0.4972},
	} {
		text, names := "tool: bare\nposes:\n  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}\n", ""
		for i := range tt.n {
			text += fmt.Sprintf("  t%d: %s\n", i, touches[i])
			names += fmt.Sprintf("t%d, ", i)
		}
		text += "tools:\n  probe: {touches: [" + names[:len(names)-2] + "]}\nsteps:\n- {to: home, path: joint, speed: 20 %, end: stop}\n"
		got := mustPlan(t, c, text, Options{}).Taught[0]
		if d := got.TCP.Sub(tt.tcp).Norm(); d > 2e-6 {
			t.Errorf("%d touches: %v, want %v", tt.n, got.TCP, tt.tcp)
		}
		if !near(got.Mean, tt.mean, 5e-5) || !near(got.Max, tt.max, 5e-5) {
			t.Errorf("%d touches: residuals %.4f and %.4f, want %.4f and %.4f", tt.n, got.Mean, got.Max, tt.mean, tt.max)
		}
	}
}

// Same program, same trajectory to the last bit, with any number of processors.
func TestDeterministic(t *testing.T) {
	plan := func() string {
		tr := mustPlan(t, soapCell(t), pickProgram, Options{})
		var e State
		out := fmt.Sprintf("%x", tr.Duration)
		for i := range 1000 {
			tr.At(tr.Duration*float64(i)/999, &e)
			out += fmt.Sprintf("%x", e.Q)
		}
		return out
	}
	want := plan()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if plan() != want {
		t.Error("the trajectory differs on one processor")
	}
}
