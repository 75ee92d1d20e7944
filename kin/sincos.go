package kin

import "math"

// compass are the directions that divide the circle into 32, from 0 on, rounded
// from 50 digits.
var compass = [32]turn{
	{1.0, 0.0},
	{0.9807852804032304, 0.19509032201612828},
	{0.9238795325112867, 0.3826834323650898},
	{0.8314696123025452, 0.5555702330196022},
	{0.7071067811865476, 0.7071067811865476},
	{0.5555702330196022, 0.8314696123025452},
	{0.3826834323650898, 0.9238795325112867},
	{0.19509032201612828, 0.9807852804032304},
	{0.0, 1.0},
	{-0.19509032201612828, 0.9807852804032304},
	{-0.3826834323650898, 0.9238795325112867},
	{-0.5555702330196022, 0.8314696123025452},
	{-0.7071067811865476, 0.7071067811865476},
	{-0.8314696123025452, 0.5555702330196022},
	{-0.9238795325112867, 0.3826834323650898},
	{-0.9807852804032304, 0.19509032201612828},
	{-1.0, 0.0},
	{-0.9807852804032304, -0.19509032201612828},
	{-0.9238795325112867, -0.3826834323650898},
	{-0.8314696123025452, -0.5555702330196022},
	{-0.7071067811865476, -0.7071067811865476},
	{-0.5555702330196022, -0.8314696123025452},
	{-0.3826834323650898, -0.9238795325112867},
	{-0.19509032201612828, -0.9807852804032304},
	{0.0, -1.0},
	{0.19509032201612828, -0.9807852804032304},
	{0.3826834323650898, -0.9238795325112867},
	{0.5555702330196022, -0.8314696123025452},
	{0.7071067811865476, -0.7071067811865476},
	{0.8314696123025452, -0.5555702330196022},
	{0.9238795325112867, -0.3826834323650898},
	{0.9807852804032304, -0.19509032201612828},
}

// turnOf returns the turn by an angle.
//
// It is math.Sincos without branches to guess wrong, as accurate (3e-16): the angle
// is counted from the nearest direction of the compass, at most pi/32 away, where
// the series of sine and cosine end after five terms with 0.0982^11/11! < 2.1e-19
// and 0.0982^10/10! < 2.3e-17 left. pi/16 is taken off in three parts (W. Cody and
// W. Waite, 1980), the first two with 33 bits each, so that up to maxSteps steps
// their products are exact.
func turnOf(a float64) turn {
	const (
		perStep  = 0x1.45f306dc9c883p+2 // 16/pi
		step1    = 0x1.921fb54400000p-3
		step2    = 0x1.0b4611a600000p-37
		step3    = 0x1.3198a2e037073p-72
		rounder  = 1.5 * (1 << 52) // adding it rounds to an integer in the low bits
		maxSteps = 1 << 19
	)
	x := float64(a*perStep) + rounder
	k := x - rounder
	if !(math.Abs(k) < maxSteps) {
		s, c := math.Sincos(a)
		return turn{c, s}
	}
	r := a - float64(k*step1)
	r -= float64(k * step2)
	r -= float64(k * step3)
	t := &compass[math.Float64bits(x)&31]
	z := r * r
	s := r + r*z*(-1.0/6+z*(1.0/120+z*(-1.0/5040+z*(1.0/362880))))
	c := z * (-1.0/2 + z*(1.0/24+z*(-1.0/720+z*(1.0/40320)))) // cos - 1
	return turn{t.c + (t.c*c - t.s*s), t.s + (t.s*c + t.c*s)}
}
