package arm

import (
	"math"
	"math/rand/v2"
	"testing"

	"posework/kin"
)

// Every place of the soap cell is reached from the place before it: tip
// positions and axes of EXAMPLES E11, tool (0, 0, 180) straight down.
func TestNearestSoapCell(t *testing.T) {
	tips := []kin.Vec{
		{X: 520, Y: -420, Z: 150}, {X: 520, Y: -420, Z: 250}, {X: 600, Z: 240}, {X: 540, Y: -60, Z: 240},
		{X: 660, Y: 60, Z: 240}, {X: 600, Y: -200, Z: 340}, {X: 420, Y: 230, Z: 90}, {X: 420, Y: 230, Z: 190},
		{X: 380, Y: 430, Z: 120}, {X: 665, Y: 430, Z: 120}, {X: 665, Y: 570, Z: 120}, {X: 665, Y: 570, Z: 152},
		{X: 665, Y: 570, Z: 252}, {X: 420, Z: 420},
	}
	m, _ := Builtin("hazel")
	for i, tip := range tips {
		p := soapCell[i]
		want := kin.Joints{kin.Rad(p[0]), kin.Rad(p[1]), kin.Rad(p[2]), 0, kin.Rad(p[3]), 0}
		// With q4 = q6 = 0 the tool points down and its x axis away from axis 1.
		yaw := math.Atan2(tip.Y, tip.X)
		target := kin.Pose{R: kin.FromRPY(math.Pi, 0, yaw), T: tip.Add(kin.Vec{Z: 180})}
		got, miss := m.Nearest(&target, &want, &kin.Config{})
		if !miss.OK() {
			t.Errorf("place %d: %+v", i, miss)
			continue
		}
		for a := range want {
			// The axes are given to 0.01 deg; q6 depends on the choice of x.
			if d := got[a] - want[a]; a != 5 && !(math.Abs(d) <= kin.Rad(0.006)) {
				t.Errorf("place %d axis %d = %.3f deg, want %.3f", i, a+1, got[a]/kin.Rad(1), want[a]/kin.Rad(1))
			}
		}
	}
}

func flangeAt(m *Model, q kin.Joints) kin.Pose {
	var f kin.Frames
	m.Chain.Forward(&q, &f)
	return f[6]
}

// From anywhere within the limits, the pose where the arm stands is reached by
// standing still, and what is found from another seed keeps every limit.
func TestNearestStandsStill(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	for _, name := range Names() {
		m, _ := Builtin(name)
		for range 300 {
			var q, seed kin.Joints
			for i, l := range m.Limits {
				q[i] = l.Min + rng.Float64()*(l.Max-l.Min)
				seed[i] = l.Min + rng.Float64()*(l.Max-l.Min)
			}
			target := flangeAt(m, q)
			got, miss := m.Nearest(&target, &q, nil)
			if !miss.OK() {
				t.Fatalf("%s: nothing near %v: %+v", name, q, miss)
			}
			for i := range got {
				if !(math.Abs(got[i]-q[i]) <= 1e-6) {
					t.Errorf("%s: from %v to %v, want to stand still", name, q, got)
					break
				}
			}
			far, miss := m.Nearest(&target, &seed, nil)
			if axis, by, ok := m.Within(&far); !miss.OK() || !ok {
				t.Errorf("%s: from %v: axis %d outside by %g, %+v", name, seed, axis, by, miss)
			}
			// No copy of any solution is nearer.
			var s kin.Solutions
			m.Inverse().Solve(&target, &seed, &s)
			for i := range s.N {
				for _, c := range m.Copies(&s.Q[i], nil) {
					if m.distance(&c, &seed) < m.distance(&far, &seed)-1e-9 {
						t.Errorf("%s: %v is nearer to %v than %v", name, c, seed, far)
					}
				}
			}
		}
	}
}

func TestCopies(t *testing.T) {
	m, _ := Builtin("rowan")
	// Axis 4 turns +-190 deg, axis 6 +-360 deg, the others less than a turn apart.
	for _, c := range []struct {
		q    kin.Joints
		want int
	}{
		{kin.Joints{}, 3},
		{kin.Joints{5: 0.5}, 2},
		{kin.Joints{3: math.Pi, 5: 0.5}, 4},
		{kin.Joints{5: 2 * math.Pi}, 3},
		{kin.Joints{1: kin.Rad(80)}, 0},
	} {
		got := m.Copies(&c.q, nil)
		if len(got) != c.want {
			t.Errorf("%v: %d copies %v, want %d", c.q, len(got), got, c.want)
		}
		for _, q := range got {
			if axis, by, ok := m.Within(&q); !ok {
				t.Errorf("%v: copy %v has axis %d outside by %g", c.q, q, axis, by)
			}
		}
	}
	free := *m
	free.Limits[5] = Range{math.Inf(-1), math.Inf(1)}
	if got := free.Copies(&kin.Joints{}, nil); len(got) != 3 {
		t.Errorf("without a limit: %d copies, want those within a turn: 3", len(got))
	}
}

func TestNearestSaysWhyNot(t *testing.T) {
	m, _ := Builtin("hazel")
	home := homes["hazel"]
	down := kin.FromRPY(math.Pi, 0, 0)
	for _, c := range []struct {
		name   string
		target kin.Pose
		reason Reason
		axis   int
		by     float64
		tol    float64
	}{
		// Wrist centre 300 mm beyond the arm's reach of 40 + 450 + 441.02 mm.
		{"far", kin.Pose{R: down, T: kin.Vec{X: 490 + math.Hypot(30, 440) + 300, Z: 420 - 105}}, OutOfReach, 0, 300, 1e-6},
		{"NaN", kin.Pose{R: down, T: kin.Vec{X: math.NaN()}}, OutOfReach, 0, math.Inf(1), 0},
	} {
		_, miss := m.Nearest(&c.target, &home, nil)
		if miss.Reason != c.reason || miss.Axis != c.axis || !(miss.By == c.by || math.Abs(miss.By-c.by) <= c.tol) {
			t.Errorf("%s: %+v, want reason %d, axis %d, by %g", c.name, miss, c.reason, c.axis, c.by)
		}
	}
	// Axis 1 can't turn to 175 deg: 5 deg too far, and turned about it nothing
	// else reaches.
	q := home
	q[0] = kin.Rad(175)
	target := flangeAt(m, q)
	tight := *m
	for i := 1; i < 6; i++ {
		tight.Limits[i] = Range{home[i] - 0.1, home[i] + 0.1}
	}
	if _, miss := tight.Nearest(&target, &home, nil); miss.Reason != OutOfLimit || miss.Axis != 1 || !(math.Abs(miss.By-kin.Rad(5)) <= 1e-9) {
		t.Errorf("axis 1 at 175 deg: %+v, want 5 deg past axis 1", miss)
	}
	// On the limit itself it is found, as the limit.
	q[0] = m.Limits[0].Max
	target = flangeAt(m, q)
	if got, miss := tight.Nearest(&target, &home, nil); !miss.OK() || got[0] > m.Limits[0].Max {
		t.Errorf("axis 1 on its limit: %v, %+v", got, miss)
	}
	// A configuration that no solution has.
	if _, miss := tight.Nearest(&target, &home, &kin.Config{Back: true}); miss.Reason == Found {
		t.Error("a back shoulder was found where the limits allow none")
	}
	if _, by, ok := m.Within(&kin.Joints{0, math.NaN()}); ok {
		t.Errorf("NaN is within the limits, by %g", by)
	}
}

// With the wrist aligned, the family member next to the seed may pass a limit
// while another keeps it.
func TestNearestSlidesAlongAlignedWrist(t *testing.T) {
	m, _ := Builtin("hazel")
	q := kin.Joints{0, 0.2, 0.3, kin.Rad(180), 0, kin.Rad(170)}
	target := flangeAt(m, q)
	tight := *m
	tight.Limits[3] = Range{kin.Rad(-20), kin.Rad(20)}
	got, miss := tight.Nearest(&target, &q, nil)
	if _, _, ok := tight.Within(&got); !miss.OK() || !ok {
		t.Fatalf("%v, %+v", got, miss)
	}
	at := flangeAt(m, got)
	if d := at.T.Sub(target.T).Norm() + at.R.X.Sub(target.R.X).Norm(); d > 1e-9 {
		t.Errorf("%v misses by %g", got, d)
	}
}

func TestMounted(t *testing.T) {
	m, _ := Builtin("alder")
	base := kin.Pose{R: kin.FromRPY(math.Pi, 0.1, -0.4), T: kin.Vec{X: 100, Y: -50, Z: 2000}}
	hung := m.Mounted(base)
	q := homes["alder"]
	want := flangeAt(m, q)
	want = base.Mul(&want)
	got := flangeAt(hung, q)
	if d := got.T.Sub(want.T).Norm() + got.R.X.Sub(want.R.X).Norm(); d > 1e-9 {
		t.Errorf("mounted flange is off by %g", d)
	}
	back, miss := hung.Nearest(&got, &q, nil)
	if !miss.OK() || hung.distance(&back, &q) > 1e-12 {
		t.Errorf("mounted: from %v to %v, %+v", q, back, miss)
	}
	if m.Chain.Base() != kin.IdentityPose {
		t.Error("mounting moved the original")
	}
}

func TestBuiltinUnknown(t *testing.T) {
	if _, ok := Builtin("yew"); ok {
		t.Error("yew is not a built-in arm")
	}
}

// Asked for a configuration, the answer has it; what is refused is refused for a
// limit or for the side.
func TestNearestKeepsConfiguration(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for _, name := range Names() {
		m, _ := Builtin(name)
		found := 0
		for range 100 {
			var q kin.Joints
			for i, l := range m.Limits {
				q[i] = l.Min + rng.Float64()*(l.Max-l.Min)
			}
			target := flangeAt(m, q)
			for n := range 8 {
				want := kin.Config{Back: n&1 != 0, Down: n&2 != 0, Flipped: n&4 != 0}
				got, miss := m.Nearest(&target, &q, &want)
				if !miss.OK() {
					if miss.Reason == OutOfReach {
						t.Errorf("%s at %v: %v is out of reach", name, q, want.Words())
					}
					continue
				}
				found++
				if has, ok := m.Inverse().ConfigOf(&got); !ok || has != want {
					t.Errorf("%s: asked for %v, got %v", name, want.Words(), has.Words())
				}
			}
			own, _ := m.Inverse().ConfigOf(&q)
			if _, miss := m.Nearest(&target, &q, &own); !miss.OK() {
				t.Errorf("%s at %v: own configuration refused: %+v", name, q, miss)
			}
		}
		if found < 200 {
			t.Errorf("%s: only %d of 800 found", name, found)
		}
	}
}
