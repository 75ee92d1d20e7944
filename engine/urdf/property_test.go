package urdf

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"posework/kin"
	"posework/kin/arm"
)

// matrix is a 4x4 homogeneous matrix in metres: the independent arithmetic of
// this test.
type matrix [4][4]float64

var one = matrix{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}}

func (a matrix) mul(b matrix) matrix {
	var c matrix
	for i := range 4 {
		for j := range 4 {
			for k := range 4 {
				c[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return c
}

func (a matrix) point(p [3]float64) [3]float64 {
	var q [3]float64
	for i := range 3 {
		q[i] = a[i][0]*p[0] + a[i][1]*p[1] + a[i][2]*p[2] + a[i][3]
	}
	return q
}

// about is the rotation by an angle about a unit axis (Rodrigues).
func about(u [3]float64, angle float64) matrix {
	s, c := math.Sincos(angle)
	m := one
	cross := [3][3]float64{{0, -u[2], u[1]}, {u[2], 0, -u[0]}, {-u[1], u[0], 0}}
	for i := range 3 {
		for j := range 3 {
			m[i][j] = u[i]*u[j]*(1-c) + s*cross[i][j]
			if i == j {
				m[i][j] += c
			}
		}
	}
	return m
}

// origin is the meaning of <origin>: roll, pitch and yaw about the fixed axes,
// then the translation (URDF XML specification, link and joint).
func origin(xyz, rpy [3]float64) matrix {
	m := about([3]float64{0, 0, 1}, rpy[2]).mul(about([3]float64{0, 1, 0}, rpy[1])).mul(about([3]float64{1, 0, 0}, rpy[0]))
	for i := range 3 {
		m[i][3] = xyz[i]
	}
	return m
}

// genJoint is a joint of a generated robot, with the link that it carries.
type genJoint struct {
	kind      string
	parent    int // index of the link that it hangs on; link 0 is the base
	xyz, rpy  [3]float64
	axis      [3]float64
	q         float64
	ball      [3]float64 // centre of a collision sphere of the link
	hasBall   bool
	onChain   bool
	hasOrigin bool
}

func genVec3(t *rapid.T, most float64) [3]float64 {
	c := rapid.OneOf(rapid.Just(0.0), rapid.SampledFrom([]float64{0.1, -0.25, 0.4}), rapid.Float64Range(-most, most))
	return [3]float64{c.Draw(t, "x"), c.Draw(t, "y"), c.Draw(t, "z")}
}

func genAngles(t *rapid.T) [3]float64 {
	c := rapid.OneOf(rapid.Just(0.0), rapid.SampledFrom([]float64{math.Pi / 2, -math.Pi / 2, math.Pi, 1.5708}), rapid.Float64Range(-3, 3))
	return [3]float64{c.Draw(t, "roll"), c.Draw(t, "pitch"), c.Draw(t, "yaw")}
}

// genRobot draws a tree: a chain of six axes with fixed joints between, and fixed
// branches beside it. The last link of the chain is the flange.
func genRobot(t *rapid.T) (joints []genJoint, flange int) {
	at, moving := 0, 0
	add := func(kind string, parent int, chain bool) {
		j := genJoint{kind: kind, parent: parent, onChain: chain, axis: [3]float64{1, 0, 0}}
		if j.hasOrigin = rapid.IntRange(0, 4).Draw(t, "with origin") > 0; j.hasOrigin {
			j.xyz, j.rpy = genVec3(t, 1), genAngles(t)
		}
		if kind != "fixed" {
			j.axis = rapid.SampledFrom([][3]float64{{0, 0, 1}, {0, 1, 0}, {1, 0, 0}, {0, 0, -1}, {0.6, 0, 0.8}, {2, -1, 2}}).Draw(t, "axis")
			j.q = rapid.Float64Range(-1, 1).Draw(t, "q")
		}
		if j.hasBall = rapid.Bool().Draw(t, "with ball"); j.hasBall {
			j.ball = genVec3(t, 0.3)
		}
		joints = append(joints, j)
	}
	for moving < 6 {
		kind := rapid.SampledFrom([]string{"revolute", "revolute", "continuous", "prismatic", "fixed"}).Draw(t, "kind")
		if kind != "fixed" {
			moving++
		}
		add(kind, at, true)
		at = len(joints)
		if rapid.IntRange(0, 5).Draw(t, "branch") == 0 {
			add("fixed", at, false)
		}
	}
	add("fixed", at, true)
	return joints, len(joints)
}

func write(joints []genJoint) string {
	v := func(x [3]float64) string { return fmt.Sprintf("%v %v %v", x[0], x[1], x[2]) }
	var b strings.Builder
	b.WriteString("<robot name=\"oak\">\n<link name=\"link-0\"/>\n")
	for i, j := range joints {
		fmt.Fprintf(&b, "<joint name=\"joint-%d\" type=%q><parent link=\"link-%d\"/><child link=\"link-%d\"/>", i+1, j.kind, j.parent, i+1)
		if j.hasOrigin {
			fmt.Fprintf(&b, "<origin xyz=%q rpy=%q/>", v(j.xyz), v(j.rpy))
		}
		if j.kind != "fixed" {
			fmt.Fprintf(&b, "<axis xyz=%q/><limit lower=\"-2\" upper=\"3\" velocity=\"1.5\" effort=\"0\"/>", v(j.axis))
		}
		fmt.Fprintf(&b, "</joint>\n<link name=\"link-%d\">", i+1)
		if j.hasBall {
			fmt.Fprintf(&b, "<collision><origin xyz=%q/><geometry><sphere radius=\"0.05\"/></geometry></collision>", v(j.ball))
		}
		b.WriteString("</link>\n")
	}
	b.WriteString("</robot>\n")
	return b.String()
}

// TestForwardIsTheTree compares the model with the tree of joints evaluated by
// itself: the flange, and where every collision solid is.
func TestForwardIsTheTree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		joints, flange := genRobot(t)
		text := write(joints)
		a, l := Read("oak.urdf", []byte(text), Options{Tip: fmt.Sprintf("link-%d", flange)})
		if len(l) == 1 && l[0].Text == "the arm has no length" {
			return
		}
		if len(l) > 0 {
			t.Fatalf("Read reports %v\n%s", l, text)
		}
		poses := []matrix{one}
		var q kin.Joints
		n, previous := 0, [3]float64{}
		tolMM, far := 1e-9, 1.0
		for _, j := range joints {
			m := poses[j.parent]
			if j.hasOrigin {
				m = m.mul(origin(j.xyz, j.rpy))
			}
			if j.kind != "fixed" {
				length := math.Sqrt(j.axis[0]*j.axis[0] + j.axis[1]*j.axis[1] + j.axis[2]*j.axis[2])
				u := [3]float64{j.axis[0] / length, j.axis[1] / length, j.axis[2] / length}
				if j.kind == "prismatic" {
					q[n] = 1000 * j.q
					m = m.mul(origin([3]float64{u[0] * j.q, u[1] * j.q, u[2] * j.q}, [3]float64{}))
				} else {
					q[n] = j.q
					m = m.mul(about(u, j.q))
				}
				n++
			}
			poses = append(poses, m)
		}
		// What is lost between axes that are almost parallel, in the zero position.
		zero := []matrix{one}
		for _, j := range joints {
			m := zero[j.parent]
			if j.hasOrigin {
				m = m.mul(origin(j.xyz, j.rpy))
			}
			zero = append(zero, m)
			if j.kind == "fixed" {
				continue
			}
			m[0][3], m[1][3], m[2][3] = 0, 0, 0
			d := m.point(j.axis)
			length := math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])
			d = [3]float64{d[0] / length, d[1] / length, d[2] / length}
			if previous != ([3]float64{}) {
				c := kin.Vec{X: d[0], Y: d[1], Z: d[2]}.Cross(kin.Vec{X: previous[0], Y: previous[1], Z: previous[2]}).Norm()
				if c < parallel {
					tolMM += 1e4 * c // taken as parallel
				} else {
					far /= c
				}
			}
			previous = d
		}
		tolMM = (tolMM-1e-9)*far + 1e-9 + 1e-10*(far-1)
		var f kin.Frames
		a.Model.Chain.Forward(&q, &f)
		off := func(got kin.Vec, want [3]float64) float64 {
			return got.Sub(kin.Vec{X: want[0] * 1000, Y: want[1] * 1000, Z: want[2] * 1000}).Norm()
		}
		for _, p := range [][3]float64{{}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
			got := f[6].Apply(kin.Vec{X: p[0] * 1000, Y: p[1] * 1000, Z: p[2] * 1000})
			if d := off(got, poses[flange].point(p)); !(d <= tolMM) {
				t.Fatalf("a point of the flange is %g mm off, allowed %g\n%s", d, tolMM, text)
			}
		}
		k := 0
		for i, j := range joints {
			if !j.hasBall {
				continue
			}
			s := a.Model.Solids[k]
			k++
			got := f[s.Link].Apply(s.From)
			if d := off(got, poses[i+1].point(j.ball)); !(d <= tolMM) || s.Kind != arm.Sphere || s.Radius != 50 {
				t.Fatalf("the ball of link-%d is %g mm off, allowed %g: %+v\n%s", i+1, d, tolMM, s, text)
			}
		}
		if k > 0 && k != len(a.Model.Solids) {
			t.Fatalf("%d solids for %d balls", len(a.Model.Solids), k)
		}
	})
}
