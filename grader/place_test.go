package grader_test

import (
	"fmt"
	"slices"
	"testing"
)

// TestPlaces lists the places that a task asks for, in the order of its checks,
// and tells which the arm can come to: hazel reaches about a metre.
func TestPlaces(t *testing.T) {
	c, k := setup(t, read(t, "cell.yaml"), `goal: x
checks:
  - {check: reach}
  - check: visits
    poses:
      - {at: {xyz: [0, 0, 100], rpy: [180, 0, 0], frame: plate}}
      - {at: {xyz: [0, 0, 3000], rpy: [180, 0, 0], frame: plate}, name: the moon}
  - {check: approach, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, from: [50 mm, 100 mm], at-most: 100 mm/s}
  - {check: retract, at: {xyz: [0, 0, 30], frame: shelf}, from: [50 mm, 100 mm], at-most: 100 mm/s}
  - {check: retract, at: {xyz: [1500, 0, 30], rpy: [180, 0, 0], frame: shelf}, from: [50 mm, 100 mm], at-most: 100 mm/s}
`)
	var got []string
	for _, p := range k.Places() {
		got = append(got, fmt.Sprintf("%d: %s: %v", p.Pos.Line, p.Name, p.Reachable(c)))
	}
	want := []string{
		"4: the pose at (0, 0, 100) in plate: true",
		"4: the moon: false",
		"8: the pose at (0, 0, 30) in shelf: true",
		// Line 9 does not say how the tool points.
		"10: the pose at (1500, 0, 30) in shelf: false",
	}
	if !slices.Equal(got, want) {
		t.Errorf("places\n%q\nwant\n%q", got, want)
	}
}
