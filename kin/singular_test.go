package kin

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// sided are the reference arms by where their alignments lie: with th5 = 0 axes 4
// and 6 align, with th3 = stretched the elbow does.
var sided = []struct {
	name      string
	stretched float64 // q3 of the stretched elbow
	wrist     float64 // a q5 of the aligned wrist
	reach     float64 // the wrist centre's greatest distance from axis 2
}{
	{"hazel", -math.Atan2(440, 30), 0, 450 + math.Hypot(30, 440)},
	{"aspen", -math.Atan2(288, 24), 0, 262 + math.Hypot(24, 288)},
	{"rowan", math.Atan2(640, 115), 0, 590 + math.Hypot(115, 640)},
	{"puma560", -math.Atan2(431.8, 20.3), 0, 431.8 + math.Hypot(20.3, 431.8)},
	{"alder", 0, 0, 780},
	{"lynch_park_4_5", 0, 0, 817},
}

// At every distance from the elbow and wrist alignments, down to none: all
// solutions reach the pose, and the one it was made from is found as well as its
// conditioning allows.
func TestSolveNearAlignments(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for _, a := range sided {
		c := armNamed(t, a.name)
		inv := c.Inverse()
		for k := range 18 {
			eps := math.Pow(10, -float64(k))
			if k == 17 {
				eps = 0
			}
			for n := range 40 {
				q := randomJoints(rng)
				label := fmt.Sprintf("%s, wrist %g from alignment", a.name, eps)
				switch n % 4 {
				case 0:
					q[4] = a.wrist + eps
				case 1:
					q[4] = wrapAngle(a.wrist + math.Pi - eps)
				case 2:
					q[2] = wrapAngle(a.stretched - eps)
					label = fmt.Sprintf("%s, elbow %g from stretched", a.name, eps)
				case 3:
					q[2] = wrapAngle(a.stretched + math.Pi + eps)
					label = fmt.Sprintf("%s, elbow %g from folded", a.name, eps)
				}
				var f Frames
				c.Forward(&q, &f)
				var s Solutions
				seed := randomJoints(rng)
				inv.Solve(&f[6], &seed, &s)
				checkReached(t, label, c, &f[6], &s)
				wantLoose := n%4 < 2 && eps < 1e-12
				if wantLoose && !s.Singular || s.Singular && eps > 1e-11 {
					t.Errorf("%s: singular is %v", label, s.Singular)
				}
				if k > 11 {
					continue
				}
				tol := 1e-9 + 1e-12/eps
				if n%4 == 3 {
					tol *= 1e3 // folded, the wrist centre is near axis 2 as well
				}
				if d := nearestSolution(&s, &q); !(d <= tol) {
					t.Errorf("%s: %v missed by %g rad", label, q, d)
				}
			}
		}
	}
}

// The representative of an aligned wrist is the member of its family nearest to
// the seed: no other split of the turn between axes 4 and 6 is nearer.
func TestAlignedWristIsNearestToSeed(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 2))
	for _, a := range sided[:4] {
		c := armNamed(t, a.name)
		for range 50 {
			q := randomJoints(rng)
			q[4] = a.wrist
			var f Frames
			c.Forward(&q, &f)
			if r := c.Inverse().Room(&q, &f); r.Elbow < 0.05 || r.Shoulder < 20 {
				continue // near a second alignment the first is known less well
			}
			seed := randomJoints(rng)
			var s Solutions
			c.Inverse().Solve(&f[6], &seed, &s)
			if !s.Singular {
				t.Fatalf("%s: aligned wrist, but not singular", a.name)
			}
			for i := range s.N {
				if !s.Loose[i] {
					continue // the arm may bend otherwise, with another wrist
				}
				from := math.Hypot(wrapAngle(s.Q[i][3]-seed[3]), wrapAngle(s.Q[i][5]-seed[5]))
				for step := range 360 {
					// Other members: q4 anywhere, q6 by the same or the opposite.
					for _, sign := range []float64{1, -1} {
						other := s.Q[i]
						d := float64(step) * degree
						other[3] += d
						other[5] += sign * d
						var g Frames
						c.Forward(&other, &g)
						if _, rot := poseDiff(&g[6], &f[6]); rot > 1e-9 {
							continue
						}
						if to := math.Hypot(wrapAngle(other[3]-seed[3]), wrapAngle(other[5]-seed[5])); to < from-1e-9 {
							t.Fatalf("%s: member %v is nearer to the seed %v than %v", a.name, other, seed, s.Q[i])
						}
					}
				}
			}
		}
	}
}

// With the wrist centre on axis 1, that axis is free: the answer keeps the
// seed's. EXAMPLES E2.4 gives such a pose for hazel; the others follow from the
// planar arm.
func TestShoulderAligned(t *testing.T) {
	c := armNamed(t, "hazel")
	// Wrist centre on axis 1: q2 = -20 deg, q3 = -51.131207 deg (E2.4, to 1e-6 deg).
	q := Joints{0.3, -20 * degree, -51.131207 * degree, 0.7, 0.9, -0.4}
	for range 20 { // Newton on the shoulder measure, by axis 3
		th := c.inv.canonical(&q)
		x, _, _ := c.inv.ball.alignments(&th)
		th[2] += 1e-6
		y, _, _ := c.inv.ball.alignments(&th)
		q[2] -= x / ((y - x) / 1e-6)
	}
	if !(math.Abs(q[2]+51.131207*degree) <= 1e-6*degree) {
		t.Errorf("shoulder aligns at q3 = %.7f deg, E2.4 says -51.131207", q[2]/degree)
	}
	rng := rand.New(rand.NewPCG(7, 3))
	for range 20 {
		var f Frames
		c.Forward(&q, &f)
		if r := c.inv.Room(&q, &f); r.Shoulder > 1e-9 {
			t.Errorf("shoulder room %g mm on axis 1, want 0", r.Shoulder)
		}
		seed := randomJoints(rng)
		var s Solutions
		c.Inverse().Solve(&f[6], &seed, &s)
		checkReached(t, "hazel, shoulder aligned", c, &f[6], &s)
		if !s.Singular {
			t.Error("shoulder aligned, but not singular")
		}
		for i := range s.N {
			if s.Loose[i] && !(math.Abs(wrapAngle(s.Q[i][0]-seed[0])) <= 1e-9) {
				t.Errorf("axis 1 at %g, want the seed's %g", s.Q[i][0], seed[0])
			}
		}
		q[0], q[3], q[4], q[5] = rng.Float64(), 3*rng.Float64(), 0.2+rng.Float64(), 3*rng.Float64()
	}
}

// Out of reach: the answer keeps the orientation, comes as near as the geometry
// allows, and says by how many mm it misses. For hazel the wrist centre's reach
// is a ball around a circle, so the true distance is known.
func TestResidual(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 4))
	for _, a := range sided[:3] {
		c := armNamed(t, a.name)
		rows := c.Rows()
		for range 200 {
			r := FromRPY(rng.Float64()*6, rng.Float64()*3, rng.Float64()*6)
			// Wrist centre beyond the reach in a random direction from axis 2.
			yaw, up := 6*rng.Float64(), 3*rng.Float64()-1.5
			beyond := math.Pow(10, 4*rng.Float64()-2)
			out := a.reach + beyond
			// up within +-90 deg: the front is the nearer side.
			x := rows[0].A + out*math.Cos(up)
			centre := Vec{x * math.Cos(yaw), x * math.Sin(yaw), rows[0].D + out*math.Sin(up)}
			target := Pose{r, centre.AddScaled(rows[5].D, r.Z)}
			var s Solutions
			c.Inverse().Solve(&target, &Joints{}, &s)
			if s.N != 1 || !(math.Abs(s.Residual-beyond) <= 1e-6*(1+beyond)) {
				t.Fatalf("%s: %d solutions, residual %.9g mm, want 1 and %.9g", a.name, s.N, s.Residual, beyond)
			}
			var f Frames
			c.Forward(&s.Q[0], &f)
			mm, rot := poseDiff(&f[6], &target)
			if !(math.Abs(mm-beyond) <= 1e-6*(1+beyond)) || rot > 1e-6 {
				t.Fatalf("%s: answer misses by %g mm and %g, want %g and 0", a.name, mm, rot, beyond)
			}
		}
	}
}
