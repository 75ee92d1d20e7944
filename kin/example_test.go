package kin_test

import (
	"fmt"
	"math"

	"posework/kin"
)

// hazel is a six-axis arm with a spherical wrist.
func hazel() *kin.Chain {
	return kin.NewChain(kin.IdentityPose, [6]kin.DH{
		{A: 40, Alpha: -math.Pi / 2, D: 420},
		{A: 450, Offset: -math.Pi / 2},
		{A: 30, Alpha: -math.Pi / 2},
		{Alpha: math.Pi / 2, D: 440},
		{Alpha: -math.Pi / 2},
		{D: 105},
	}, kin.IdentityPose)
}

func ExampleChain_Forward() {
	c := hazel()
	q := kin.Joints{4: kin.Rad(90)} // upper arm upright, forearm level, flange down
	var f kin.Frames
	c.Forward(&q, &f)
	fmt.Printf("flange at %.0f %.0f %.0f, pointing along z %.0f\n", f[6].T.X, f[6].T.Y, f[6].T.Z, f[6].R.Z.Z)
	// Output: flange at 480 0 795, pointing along z -1
}

func ExampleInverse_Solve() {
	c := hazel()
	target := kin.Pose{R: kin.FromRPY(math.Pi, 0, 0), T: kin.Vec{X: 600, Y: 0, Z: 420}}
	var s kin.Solutions
	c.Inverse().Solve(&target, &kin.Joints{}, &s)
	fmt.Println(c.Inverse().Family())
	for i := range s.N {
		if s.Config[i] == (kin.Config{}) {
			fmt.Printf("%d solutions, among them %v:", s.N, s.Config[i].Words())
			for _, a := range s.Q[i] {
				fmt.Printf(" %.2f", math.Abs(kin.Deg(a)))
			}
			fmt.Println()
		}
	}
	// Output:
	// spherical wrist (axes 4, 5, 6 meet)
	// 8 solutions, among them [front up plain]: 0.00 29.82 14.41 0.00 45.77 0.00
}

func ExampleJacobian_Smallest() {
	c := hazel()
	q := kin.Joints{1: kin.Rad(20), 2: kin.Rad(-10)} // axes 4 and 6 on one line
	var f kin.Frames
	var j kin.Jacobian
	c.Forward(&q, &f)
	c.JacobianAt(&f, f[6].T, &j)
	sigma, lost := j.Smallest(1026)
	fmt.Printf("smallest singular value %.3f\n", sigma)
	fmt.Printf("lost: moving along y by %.2f while turning about x by %.2f and z by %.2f\n", lost[1], lost[3], lost[5])
	// Output:
	// smallest singular value 0.000
	// lost: moving along y by 0.81 while turning about x by -0.10 and z by -0.58
}
