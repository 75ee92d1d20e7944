package kin

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"
)

// Tolerances for the comparison with the reference data. The references carry
// 16 digits of numbers up to 1500 mm, and are themselves good to 5e-13 mm.
const (
	tolMM  = 1e-9  // positions, mm
	tolRot = 1e-12 // entries of rotation matrices
	tolRad = 1e-9  // axis angles of inverse solutions that are not near singular
	tolSV  = 1e-9  // singular values, relative
)

const degree = math.Pi / 180

// chainDeg builds a chain from rows of a, alpha, d, offset: mm and degrees.
func chainDeg(rows [6][4]float64) *Chain {
	var dh [6]DH
	for i, r := range rows {
		dh[i] = DH{A: r[0], Alpha: r[1] * degree, D: r[2], Offset: r[3] * degree}
	}
	return NewChain(IdentityPose, dh, IdentityPose)
}

// The arms of the reference data.
var arms = []struct {
	name   string
	chain  *Chain
	family Family
}{
	{"hazel", chainDeg([6][4]float64{{40, -90, 420, 0}, {450, 0, 0, -90}, {30, -90, 0, 0}, {0, 90, 440, 0}, {0, -90, 0, 0}, {0, 0, 105, 0}}), SphericalWrist},
	{"aspen", chainDeg([6][4]float64{{35, -90, 310, 0}, {262, 0, 0, -90}, {24, -90, 0, 0}, {0, 90, 288, 0}, {0, -90, 0, 0}, {0, 0, 61, 0}}), SphericalWrist},
	{"rowan", chainDeg([6][4]float64{{155, 90, 430, 0}, {590, 0, 0, 90}, {115, 90, 0, 0}, {0, -90, 640, 0}, {0, 90, 0, 0}, {0, 0, 95, 180}}), SphericalWrist},
	{"puma560", chainDeg([6][4]float64{{0, 90, 0, 0}, {431.8, 0, 0, 0}, {20.3, -90, 150.05, 0}, {0, 90, 431.8, 0}, {0, -90, 0, 0}, {0, 0, 0, 0}}), SphericalWrist},
	{"alder", chainDeg([6][4]float64{{0, 90, 165, 0}, {408, 0, 0, 0}, {372, 0, 0, 0}, {0, 90, 128, 0}, {0, -90, 104, 0}, {0, 0, 91, 0}}), Parallel234},
	{"lynch_park_4_5", chainDeg([6][4]float64{{0, -90, 89, 0}, {425, 0, 0, 0}, {392, 0, 0, 0}, {0, -90, 109, 0}, {0, 90, 95, 0}, {0, 0, 82, 180}}), Parallel234},
}

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// armNamed returns one of them.
func armNamed(t fataler, name string) *Chain {
	t.Helper()
	for _, a := range arms {
		if a.name == name {
			return a.chain
		}
	}
	t.Fatalf("no arm %s", name)
	return nil
}

// matrix is a homogeneous matrix as the reference files write it.
type matrix [4][4]float64

func (m *matrix) pose() Pose {
	return Pose{
		Rot{Vec{m[0][0], m[1][0], m[2][0]}, Vec{m[0][1], m[1][1], m[2][1]}, Vec{m[0][2], m[1][2], m[2][2]}},
		Vec{m[0][3], m[1][3], m[2][3]},
	}
}

func readJSON(t testing.TB, name string, into any) {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// poseDiff returns the distance of two origins (mm) and the greatest difference
// of the rotations' entries.
func poseDiff(a, b *Pose) (mm, rot float64) {
	for _, d := range [3]Vec{a.R.X.Sub(b.R.X), a.R.Y.Sub(b.R.Y), a.R.Z.Sub(b.R.Z)} {
		rot = math.Max(rot, math.Max(math.Abs(d.X), math.Max(math.Abs(d.Y), math.Abs(d.Z))))
	}
	return a.T.Sub(b.T).Norm(), rot
}

// jointDiff returns the greatest difference of any axis, mod 2 pi.
func jointDiff(a, b *Joints) float64 {
	most := 0.0
	for i := range a {
		most = math.Max(most, math.Abs(math.Remainder(a[i]-b[i], 2*math.Pi)))
	}
	return most
}

type fkFile struct {
	ReachMM float64 `json:"reach_mm"`
	Cases   []struct {
		Q         Joints        `json:"q_rad"`
		T         matrix        `json:"T"`
		J         [6][6]float64 `json:"J"`
		Trans     []float64     `json:"sv_trans_mm"`
		FullM     []float64     `json:"sv_full_m"`
		FullReach []float64     `json:"sv_full_reach"`
	} `json:"cases"`
}

type ikFile struct {
	Poses []struct {
		T         matrix `json:"T"`
		Solutions []struct {
			Q Joints `json:"q"`
		} `json:"solutions"`
	} `json:"poses"`
	Unreachable []matrix `json:"unreachable"`
}

// Forward kinematics and Jacobian against testdata/fk_*.json (Orocos KDL).
func TestForwardReference(t *testing.T) {
	for _, a := range arms {
		var file fkFile
		readJSON(t, "fk_"+a.name+".json", &file)
		if len(file.Cases) != 100 {
			t.Fatalf("%s: %d cases, want 100", a.name, len(file.Cases))
		}
		for i, c := range file.Cases {
			var f Frames
			a.chain.Forward(&c.Q, &f)
			want := c.T.pose()
			if mm, rot := poseDiff(&f[6], &want); !(mm <= tolMM && rot <= tolRot) {
				t.Errorf("%s case %d: flange off by %g mm, rotation by %g", a.name, i, mm, rot)
			}
			var j Jacobian
			a.chain.JacobianAt(&f, f[6].T, &j)
			for r := range 6 {
				tol := tolMM
				if r > 2 {
					tol = tolRot
				}
				for col := range 6 {
					if !(math.Abs(j[r][col]-c.J[r][col]) <= tol) {
						t.Errorf("%s case %d: J[%d][%d] = %.17g, want %.17g", a.name, i, r, col, j[r][col], c.J[r][col])
					}
				}
			}
		}
	}
}

// Complete inverse sets against testdata/ik_*.json (exhaustive search).
func TestSolveReference(t *testing.T) {
	for _, a := range arms {
		if a.family == Numerical {
			continue
		}
		var file ikFile
		readJSON(t, "ik_"+a.name+".json", &file)
		inv := a.chain.Inverse()
		if inv.Family() != a.family {
			t.Errorf("%s: family %v, want %v", a.name, inv.Family(), a.family)
		}
		var s Solutions
		for i, p := range file.Poses {
			target := p.T.pose()
			inv.Solve(&target, &Joints{}, &s)
			label := fmt.Sprintf("%s pose %d", a.name, i)
			checkReached(t, label, a.chain, &target, &s)
			if s.N != len(p.Solutions) {
				t.Errorf("%s: %d solutions, want %d", label, s.N, len(p.Solutions))
			}
			for k := range p.Solutions {
				if d := nearestSolution(&s, &p.Solutions[k].Q); !(d <= tolRad) {
					t.Errorf("%s: reference solution %d missed by %g rad", label, k, d)
				}
			}
		}
		for i := range file.Unreachable {
			target := file.Unreachable[i].pose()
			inv.Solve(&target, &Joints{}, &s)
			if s.N != 1 || !(s.Residual > 0) {
				t.Errorf("%s unreachable %d: %d solutions, residual %g, want 1 and more than 0", a.name, i, s.N, s.Residual)
			}
		}
	}
}

// nearestSolution returns the distance of q to the solution nearest to it.
func nearestSolution(s *Solutions, q *Joints) float64 {
	least := math.Inf(1)
	for k := range s.N {
		least = math.Min(least, jointDiff(&s.Q[k], q))
	}
	return least
}

// reporter is what *testing.T and *rapid.T share.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// checkReached puts every solution through the forward kinematics.
func checkReached(t reporter, label string, c *Chain, target *Pose, s *Solutions) {
	t.Helper()
	if s.Residual != 0 {
		t.Errorf("%s: residual %g mm, want 0", label, s.Residual)
		return
	}
	for k := range s.N {
		var f Frames
		c.Forward(&s.Q[k], &f)
		if mm, rot := poseDiff(&f[6], target); !(mm <= tolMM && rot <= tolRot) {
			t.Errorf("%s: solution %d %v misses by %g mm, rotation by %g", label, k, s.Q[k], mm, rot)
		}
		for i, a := range s.Q[k] {
			if !c.Prismatic(i) && !(a > -math.Pi && a <= math.Pi) {
				t.Errorf("%s: solution %d axis %d = %g, want within (-pi, pi]", label, k, i+1, a)
			}
		}
		if cfg, ok := c.Inverse().ConfigOf(&s.Q[k]); s.HasConfig && (!ok || !s.Is(k, cfg)) {
			t.Errorf("%s: solution %d has configuration %v, ConfigOf says %v", label, k, s.Config[k].Words(), cfg.Words())
		}
	}
}
