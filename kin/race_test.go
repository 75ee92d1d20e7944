//go:build race

package kin

// millionPoses is how many poses an arm TestMillionPoses takes: fewer under the
// race detector, which makes each ten times as long and finds nothing more.
const millionPoses = 20_000
