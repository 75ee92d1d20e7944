package grader_test

import (
	"testing"

	"posework/grader"
)

// TestHandlesEveryPart holds the parts that a program handles besides the one
// that it is asked for, and what it lets go in its last step.
func TestHandlesEveryPart(t *testing.T) {
	two := apply(t, read(t, "cell.yaml"), []edit{
		{"signals:", "  - {name: block, box: [60, 60, 30], frame: plate, xyz: [0, 0, 5], mass: 0.2 kg}\nsignals:"},
		{"release: bar}, after: 0.1 s}", "release: bar}, after: 0.1 s}\n" +
			"  - {when: {vacuum: on, near: block}, then: {part-held: on, hold: block}, after: 0.15 s}\n" +
			"  - {when: {vacuum: off}, then: {part-held: off, release: block}, after: 0.1 s}"},
	})
	// A gripper that lets go without delay.
	atOnce := apply(t, read(t, "cell.yaml"), []edit{{"release: bar}, after: 0.1 s}", "release: bar}}"}})
	const (
		poses = head + "  over: {xyz: [0, 0, 130], rpy: [180, 0, 0], frame: shelf}\n  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\n" +
			"  above: {xyz: [0, 0, 130], rpy: [180, 0, 0], frame: plate}\n  block: {xyz: [0, 0, 20], rpy: [180, 0, 0], frame: plate}\nsteps:\n" +
			"- {to: home, path: joint, speed: 10 %, end: stop}\n"
		take  = "- {set: {vacuum: on}}\n- {wait: {part-held: on, at-most: 1 s}}\n"
		off   = "- {set: {vacuum: off}}\n"
		gone  = "- {wait: {part-held: off, at-most: 1 s}}\n"
		over  = "- {to: over, path: joint, speed: 10 %, end: stop}\n"
		down  = "- {to: grip, path: line, speed: 80 mm/s, end: stop}\n"
		up    = "- {to: over, path: line, speed: 80 mm/s, end: stop}\n"
		above = "- {to: above, path: joint, speed: 10 %, end: stop}\n"
		block = "- {to: block, path: line, speed: 80 mm/s, end: stop}\n"
		back  = "- {to: above, path: line, speed: 80 mm/s, end: stop}\n"
		bar   = over + down + take + up + down + off + gone + up
		takes = "{check: handles, part: bar, take: {signal: vacuum, confirm: part-held}}"
		lays  = "{check: handles, part: bar, take: {signal: vacuum, confirm: part-held}, lay: {at: {xyz: [0, 0, 15], frame: shelf}}}"
	)
	for _, tt := range []struct{ name, cell, check, steps, want string }{
		{"the bar lifted and laid back", two, lays, bar, ""},
		{"then the block too", two, lays, bar + above + block + take + back + block + off + gone + back, ""},
		{"then the block dropped", two, lays, bar + above + block + take + back + off + gone, "PART_DROPPED"},
		{"then the block dropped as the program ends", two, lays, bar + above + block + take + back + off, "PART_DROPPED"},
		{"the bar dropped as the program ends", two, takes, over + down + take + up + off, "PART_DROPPED"},
		{"the bar let go where it lay as the program ends", two, takes, over + down + take + up + down + off, ""},
		{"the bar held as the program ends", two, takes, over + down + take + up, ""},
		{"laid at once in the last step", atOnce, lays, over + down + take + up + down + off, ""},
		{"dropped at once in the last step", atOnce, takes, over + down + take + up + off, "PART_DROPPED"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, tt.cell, tt.check, poses+tt.steps, grader.Options{}), tt.want)
		})
	}
}
