package kin

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"
)

// exponential is the motion of a body turned by q about a line, or slid along it:
// the matrix exponential of its screw (K. Lynch and F. Park, Modern Robotics,
// 2017, equations 3.51 and 3.88), written without this package's chains.
func exponential(a Axis, q float64) Pose {
	u := a.Dir.Unit()
	if a.Prismatic {
		return Pose{Identity, u.Scale(q)}
	}
	s, c := math.Sincos(q)
	turn := func(v Vec) Vec {
		return v.Scale(c).Add(u.Cross(v).Scale(s)).Add(u.Scale(u.Dot(v) * (1 - c)))
	}
	r := Rot{turn(Vec{X: 1}), turn(Vec{Y: 1}), turn(Vec{Z: 1})}
	return Pose{r, a.Point.Sub(r.Apply(a.Point))}
}

// product is the product of exponentials: the flange at q (equation 4.14).
func product(axes [6]Axis, flange Pose, q *Joints) Pose {
	t := IdentityPose
	for i := range axes {
		e := exponential(axes[i], q[i])
		t = t.Mul(&e)
	}
	return t.Mul(&flange)
}

// genDirection draws directions in general and special positions: square and
// parallel ones are what real arms have.
func genDirection(t *rapid.T) Vec {
	if rapid.Bool().Draw(t, "square") {
		return rapid.SampledFrom([]Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -2}, {Z: -1}}).Draw(t, "direction")
	}
	a, b := rapid.Float64Range(-3, 3).Draw(t, "azimuth"), rapid.Float64Range(-1.5, 1.5).Draw(t, "elevation")
	return Vec{math.Cos(a) * math.Cos(b), math.Sin(a) * math.Cos(b), math.Sin(b)}
}

func genPoint(t *rapid.T) Vec {
	c := rapid.OneOf(rapid.Just(0.0), rapid.SampledFrom([]float64{100, -250, 400}), rapid.Float64Range(-1000, 1000))
	return Vec{c.Draw(t, "x"), c.Draw(t, "y"), c.Draw(t, "z")}
}

func TestFromAxesIsTheProductOfExponentials(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var axes [6]Axis
		for i := range axes {
			axes[i] = Axis{genPoint(t), genDirection(t), rapid.IntRange(0, 5).Draw(t, "slides") == 0}
			if i > 0 && rapid.IntRange(0, 3).Draw(t, "meets") == 0 {
				axes[i].Point = axes[i-1].Point // neighbours that meet, or are one line
			}
		}
		angle := rapid.Float64Range(-3, 3)
		flange := Pose{FromRPY(angle.Draw(t, "roll"), angle.Draw(t, "pitch"), angle.Draw(t, "yaw")), genPoint(t)}
		if rapid.Bool().Draw(t, "along axis 6") {
			flange = axisBase(&Axis{genPoint(t), axes[5].Dir.Unit(), false})
		}
		var q Joints
		for i := range q {
			q[i] = angle.Draw(t, "q")
			if axes[i].Prismatic {
				q[i] *= 100
			}
		}
		c := FromAxes(axes, flange)
		var f Frames
		c.Forward(&q, &f)
		want := product(axes, flange, &q)
		// The rounding of a few metres; and what neighbours cost that are almost
		// parallel: their angle times 10 m where they are taken as parallel; where
		// not, the rounding of a far common normal, farther still when the next two
		// are almost parallel as well.
		small, far := 0.0, 1.0
		for i := range 5 {
			s := axes[i].Dir.Unit().Cross(axes[i+1].Dir.Unit()).Norm()
			if s <= sameDirection {
				small += s
			} else {
				far /= s
			}
		}
		tolMM, tolRad := 1e-9+1e4*small*far+1e-10*(far-1), 1e-12+10*small
		if d := f[6].T.Sub(want.T).Norm(); !(d <= tolMM) {
			t.Fatalf("flange %g mm off, allowed %g\naxes %+v\nrows %+v", d, tolMM, axes, c.Rows())
		}
		for _, d := range []float64{f[6].R.X.Sub(want.R.X).Norm(), f[6].R.Z.Sub(want.R.Z).Norm()} {
			if !(d <= tolRad) {
				t.Fatalf("flange %g rad off\naxes %+v", d, axes)
			}
		}
		// Axis i must be the z axis of frame i-1 where it is now.
		moved := IdentityPose
		for i := range axes {
			z := moved.R.Apply(axes[i].Dir.Unit())
			if d := f[i].R.Z.Sub(z).Norm(); !(d <= tolRad) {
				t.Fatalf("axis %d: direction %g off", i+1, d)
			}
			off := f[i].T.Sub(moved.Apply(axes[i].Point))
			if d := off.AddScaled(-off.Dot(z), z).Norm(); !axes[i].Prismatic && far < 1e3 && !(d <= tolMM) {
				t.Fatalf("axis %d: line %g mm off", i+1, d)
			}
			e := exponential(axes[i], q[i])
			moved = moved.Mul(&e)
		}
	})
}

// TestFromAxesTextbook builds an arm from the screw axes that a textbook prints
// and compares it with forward kinematics that Orocos KDL 1.5.1 made from the
// arm's Denavit-Hartenberg rows (testdata). K. Lynch and F. Park, Modern Robotics
// (2017), example 4.5: W1 = 109, W2 = 82, L1 = 425, L2 = 392, H1 = 89, H2 = 95 mm;
// directions and points from memory, the dimensions as in testdata.
func TestFromAxesTextbook(t *testing.T) {
	const w1, w2, l1, l2, h1, h2 = 109, 82, 425, 392, 89, 95
	axes := [6]Axis{
		{Vec{}, Vec{Z: 1}, false},
		{Vec{Z: h1}, Vec{Y: 1}, false},
		{Vec{X: l1, Z: h1}, Vec{Y: 1}, false},
		{Vec{X: l1 + l2, Z: h1}, Vec{Y: 1}, false},
		{Vec{X: l1 + l2, Y: w1}, Vec{Z: -1}, false},
		{Vec{X: l1 + l2, Z: h1 - h2}, Vec{Y: 1}, false},
	}
	flange := Pose{Rot{Vec{X: -1}, Vec{Z: 1}, Vec{Y: 1}}, Vec{l1 + l2, w1 + w2, h1 - h2}}
	data, err := os.ReadFile("testdata/fk_lynch_park_4_5.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref struct {
		Cases []struct {
			Q Joints        `json:"q_rad"`
			T [4][4]float64 `json:"T"`
		} `json:"cases"`
	}
	if err := json.Unmarshal(data, &ref); err != nil || len(ref.Cases) < 100 {
		t.Fatalf("%d cases: %v", len(ref.Cases), err)
	}
	c := FromAxes(axes, flange)
	for i, s := range ref.Cases {
		var f Frames
		c.Forward(&s.Q, &f)
		for k, want := range [...]Vec{
			{s.T[0][0], s.T[1][0], s.T[2][0]}, {s.T[0][1], s.T[1][1], s.T[2][1]}, {s.T[0][2], s.T[1][2], s.T[2][2]}, {s.T[0][3], s.T[1][3], s.T[2][3]},
		} {
			got, tol := [...]Vec{f[6].R.X, f[6].R.Y, f[6].R.Z, f[6].T}[k], 1e-12
			if k == 3 {
				tol = 1e-9 // mm
			}
			if d := got.Sub(want).Norm(); !(d <= tol) {
				t.Fatalf("case %d, column %d: %g off", i, k, d)
			}
		}
	}
	if family := NewInverse(c).Family(); family != Parallel234 {
		t.Errorf("family = %v, want %v", family, Parallel234)
	}
}
