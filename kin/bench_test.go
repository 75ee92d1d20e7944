package kin

import (
	"math/rand/v2"
	"testing"
)

// benchPoses returns configurations of an arm with their flange poses.
func benchPoses(c *Chain) (q [64]Joints, f [64]Frames) {
	rng := rand.New(rand.NewPCG(11, 1))
	for i := range q {
		q[i] = randomJoints(rng)
		c.Forward(&q[i], &f[i])
	}
	return q, f
}

// The reference arms, and one with skew axes before and within its wrist.
func benchArms() map[string]*Chain {
	rng := rand.New(rand.NewPCG(11, 2))
	m := map[string]*Chain{"oblique": randomChain(rng, SphericalWrist)}
	for _, a := range arms {
		m[a.name] = a.chain
	}
	return m
}

func BenchmarkForward(b *testing.B) {
	c := armNamed(b, "hazel")
	q, _ := benchPoses(c)
	var f Frames
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		c.Forward(&q[i&63], &f)
		i++
	}
}

func BenchmarkForwardJacobian(b *testing.B) {
	c := armNamed(b, "hazel")
	q, _ := benchPoses(c)
	var f Frames
	var j Jacobian
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		c.Forward(&q[i&63], &f)
		c.JacobianAt(&f, f[6].T, &j)
		i++
	}
}

func BenchmarkSolve(b *testing.B) {
	all := benchArms()
	for _, name := range []string{"hazel", "aspen", "rowan", "puma560", "meet23", "parallel12", "meet12", "skew", "oblique", "alder", "lynch_park_4_5"} {
		c := all[name]
		if c == nil {
			c = shapedChain(name)
		}
		b.Run("arm="+name, func(b *testing.B) {
			_, f := benchPoses(c)
			inv := c.Inverse()
			var s Solutions
			var seed Joints
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				inv.Solve(&f[i&63][6], &seed, &s)
				i++
			}
		})
	}
}

// The figure for arms with three axes meeting in a point at either end holds for all
// of them: first axes of each kind, wrists square and oblique, read from either end,
// and arms with nothing special but the point.
func BenchmarkSolveSpherical(b *testing.B) {
	run := func(name string, c *Chain) {
		for _, end := range []string{"wrist", "shoulder"} {
			if end == "shoulder" {
				c = turnedRound(c)
			}
			b.Run(name+"/at="+end, func(b *testing.B) {
				if f := c.inv.family; f != SphericalWrist && f != SphericalShoulder {
					b.Fatalf("family %v", f)
				}
				_, f := benchPoses(c)
				var s Solutions
				var seed Joints
				b.ReportAllocs()
				i, found := 0, 0
				for b.Loop() {
					c.inv.Solve(&f[i&63][6], &seed, &s)
					found += s.N
					i++
				}
				b.ReportMetric(float64(found)/float64(i), "solutions/op")
			})
		}
	}
	for _, first := range []string{"parallel23", "meet23", "parallel12", "meet12", "skew"} {
		run("first="+first+"/wrist=square", shapedChain(first))
		run("first="+first+"/wrist=oblique", obliqueChain(first))
	}
	rng := rand.New(rand.NewPCG(11, 5))
	for range 6 {
		run("first=random", randomChain(rng, SphericalWrist))
	}
}

// turnedRound returns the arm that stands on the flange of another and carries its
// base.
func turnedRound(c *Chain) *Chain {
	var f Frames
	c.Forward(&Joints{}, &f)
	back := f[6].Inv()
	var axes [6]Axis
	for i := range axes {
		axis := back.Mul(&f[i])
		axes[5-i] = Axis{Point: axis.T, Dir: axis.R.Z.Scale(-1)}
	}
	return FromAxes(axes, back)
}

// shapedChain returns an arm with a square spherical wrist behind first axes of
// the named kind.
func shapedChain(name string) *Chain {
	return chainDeg(shapedRows(name))
}

// obliqueChain is shapedChain with the axes of the wrist at other angles.
func obliqueChain(name string) *Chain {
	rows := shapedRows(name)
	rows[3][1], rows[4][1] = 75, -80
	return chainDeg(rows)
}

func shapedRows(name string) [6][4]float64 {
	rows := [6][4]float64{{40, -90, 420, 0}, {450, 35, 20, 0}, {30, -90, 10, 0}, {0, 90, 440, 0}, {0, -90, 0, 0}, {0, 0, 105, 0}}
	switch name {
	case "parallel23":
		rows[1][1] = 0
	case "meet23":
		rows[1][0] = 0
	case "parallel12":
		rows[0] = [4]float64{300, 0, 420, 0}
	case "meet12":
		rows[0][0] = 0
	}
	return rows
}

func BenchmarkSmallest(b *testing.B) {
	c := armNamed(b, "hazel")
	_, f := benchPoses(c)
	var j [64]Jacobian
	for i := range j {
		c.JacobianAt(&f[i], f[i][6].T, &j[i])
	}
	b.ReportAllocs()
	i := 0
	sum := 0.0
	for b.Loop() {
		s, _ := j[i&63].Smallest(1000)
		sum += s
		i++
	}
}

func BenchmarkOnCircle(b *testing.B) {
	rng := rand.New(rand.NewPCG(11, 4))
	var k [64][5]float64
	for i := range k {
		for n := 0; n < 4; {
			for j := range k[i] {
				k[i][j] = rng.NormFloat64()
			}
			var out [4]turn
			n = meet(k[i][0], k[i][1], k[i][2], k[i][3], k[i][4], &out)
		}
	}
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		var out [4]turn
		k := &k[i&63]
		meet(k[0], k[1], k[2], k[3], k[4], &out)
		i++
	}
}
