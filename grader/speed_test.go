package grader_test

import (
	"testing"

	"posework/grader"
)

// TestSpeedNearParts holds the speed beside a part that lies there, and beside a
// solid with a part in the cup.
func TestSpeedNearParts(t *testing.T) {
	const (
		poses = "  over-left: {xyz: [0, -120, 90], rpy: [180, 0, 0], frame: shelf}\n  over-right: {xyz: [0, 120, 90], rpy: [180, 0, 0], frame: shelf}\n" +
			"  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\n  high: {xyz: [0, 0, 160], rpy: [180, 0, 0], frame: shelf}\n" +
			"  high-right: {xyz: [0, 120, 160], rpy: [180, 0, 0], frame: shelf}\nsteps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n"
		take = "- {to: high, path: joint, speed: 9 %, end: stop}\n- {to: grip, path: line, speed: 60 mm/s, end: stop}\n" +
			"- {set: {vacuum: on}}\n- {wait: {part-held: on, at-most: 1 s}}\n- {to: high, path: line, speed: 60 mm/s, end: stop}\n"
		left = "- {to: over-left, path: joint, speed: 9 %, end: stop}\n"
		home = "- {to: home, path: joint, speed: 9 %, end: stop}\n"
	)
	for _, tt := range []struct{ name, check, steps, want string }{
		// The cup passes 60 mm above the bar, 90 mm above the shelf that it lies on.
		{
			"fast over a loose part", "{check: speed-near, solid: bar, within: 70 mm, at-most: 100 mm/s}",
			left + "- {to: over-right, path: line, speed: 200 mm/s, end: stop}\n" + home, "FAST_NEAR_FIXTURE",
		}, {
			"slow over a loose part", "{check: speed-near, solid: [shelf-top, bar], within: 70 mm, at-most: 100 mm/s}",
			left + "- {to: over-right, path: line, speed: 100 mm/s, end: stop}\n" + home, "",
		}, {
			"fast out of its reach", "{check: speed-near, solid: bar, within: 55 mm, at-most: 100 mm/s}",
			left + "- {to: over-right, path: line, speed: 200 mm/s, end: stop}\n" + home, "",
		}, {
			"a part in the cup is not near itself", "{check: speed-near, solid: bar, within: 70 mm, at-most: 100 mm/s}",
			take + "- {to: high-right, path: line, speed: 200 mm/s, end: stop}\n" + home, "",
		},
		// The cup is 160 mm above the shelf, the bar in it 130 mm.
		{
			"fast with a part that comes near", "{check: speed-near, solid: shelf-top, within: 140 mm, at-most: 100 mm/s}",
			take + "- {to: high-right, path: line, speed: 200 mm/s, end: stop}\n" + home, "FAST_NEAR_FIXTURE",
		}, {
			"the same way with an empty cup", "{check: speed-near, solid: shelf-top, within: 140 mm, at-most: 100 mm/s}",
			"- {to: high, path: joint, speed: 9 %, end: stop}\n- {to: high-right, path: line, speed: 200 mm/s, end: stop}\n" + home, "",
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), tt.check, head+poses+tt.steps, grader.Options{}), tt.want)
		})
	}
}
