package kin

import "math"

// Rad converts degrees, as people write them, to radians.
func Rad(deg float64) float64 { return deg * (math.Pi / 180) }

// Deg converts radians to degrees.
func Deg(rad float64) float64 { return rad * (180 / math.Pi) }
