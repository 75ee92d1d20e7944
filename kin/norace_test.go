//go:build !race

package kin

// millionPoses is how many poses an arm TestMillionPoses takes.
const millionPoses = 1_000_000
