package grader_test

import (
	"slices"
	"strings"
	"testing"

	"posework/grader"
)

// The ways to and from a work pose, one change to a sound program at a time.
func TestWaysToAndFromAPose(t *testing.T) {
	const (
		grip    = "{xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}"
		in      = "{check: approach, at: " + grip + ", from: [50 mm, 100 mm], slow: 50 mm, at-most: 100 mm/s}"
		out     = "{check: retract, at: " + grip + ", from: [50 mm, 100 mm], slow: 50 mm, at-most: 100 mm/s}"
		both    = in + "\n  - " + out
		poses   = head + "  grip: " + grip + "\n  over: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\n"
		begin   = "steps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: over, path: joint, speed: 9 %, end: stop}\n"
		down    = "- {to: grip, path: line, speed: 80 mm/s, end: stop}\n"
		up      = "- {to: over, path: line, speed: 80 mm/s, end: stop}\n"
		end     = "- {to: home, path: joint, speed: 9 %, end: stop}\n"
		lifted  = "  lifted: {xyz: [0, 0, 33], rpy: [180, 0, 0], frame: shelf}\n"
		toLift  = "- {to: lifted, path: line, speed: 20 mm/s, end: stop}\n"
		flipped = "  flipped: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf, config: [front, up, flipped]}\n"
		half    = "  half: {xyz: [0, 0, 70], rpy: [180, 0, 0], frame: shelf}\n"
	)
	for _, tt := range []struct{ name, check, program, want string }{
		{"down and up", both, poses + begin + down + up + end, ""},
		{"peeled off by a move of its own", both, poses + lifted + begin + down + toLift + up + end, ""},
		{"set down by a move of its own", both, poses + lifted + begin + toLift + down + up + end, ""},
		{"rounded just above the pose", both, poses + lifted + begin + "- {to: lifted, path: line, speed: 20 mm/s, end: fly-by 1 mm}\n" + down + up + end, ""},
		{"pressed twice", both, poses + lifted + begin + down + toLift + down + up + end, ""},
		{"the same pose twice", both, poses + begin + down + down + "- {to: grip, path: joint, speed: 9 %, end: stop}\n" + up + end, ""},
		{"set down too short", in, poses + strings.Replace(lifted, "33", "75", 1) + strings.Replace(begin, "over", "lifted", 1) + down + up + end, "APPROACH_TOO_LOW"},
		{"peeled off sideways", out, poses + strings.Replace(lifted, "[0, 0, 33]", "[4, 0, 30]", 1) + begin + down + toLift + up + end, "RETRACT_TILTED"},

		// The tool swings once around, and ends where it began.
		{"the arm flips at the pose", out, poses + flipped + begin + down + "- {to: flipped, path: joint, speed: 9 %, end: stop}\n" + up + end, "NO_RETRACT"},
		{"an arc at the pose", out, poses + lifted + "  aside: {xyz: [40, 0, 60], rpy: [180, 0, 0], frame: shelf}\n" + begin + down +
			"- {to: lifted, through: aside, path: arc, speed: 20 mm/s, end: stop}\n" + up + end, "NO_RETRACT"},
		{"the tool turns at the pose", in, poses + "  turned: {xyz: [0, 0, 30], rpy: [180, 0, 40], frame: shelf}\n" + begin + down + "- {to: turned, path: line, speed: 20 mm/s, end: stop}\n" + up + end, "NO_APPROACH"},

		// 1.9 degrees on each of four lines: 7.6 in all.
		{"the tool turns little by little", in, poses + "  a: {xyz: [0, 0, 110], rpy: [180, 7.6, 0], frame: shelf}\n  b: {xyz: [0, 0, 90], rpy: [180, 5.7, 0], frame: shelf}\n" +
			"  c: {xyz: [0, 0, 70], rpy: [180, 3.8, 0], frame: shelf}\n  d: {xyz: [0, 0, 50], rpy: [180, 1.9, 0], frame: shelf}\n" + strings.Replace(begin, "over", "a", 1) +
			"- {to: b, path: line, speed: 80 mm/s, end: stop}\n- {to: c, path: line, speed: 80 mm/s, end: stop}\n- {to: d, path: line, speed: 80 mm/s, end: stop}\n" + down + up + end, "APPROACH_TOO_LOW"},
		// 3 degrees over 80 mm are 1.9 over the 50 that count.
		{"the tool turns far out", both, poses + strings.Replace(begin, "steps", "  turned: {xyz: [0, 0, 110], rpy: [180, 0, 3], frame: shelf}\nsteps", 1) + "- {to: turned, path: line, speed: 80 mm/s, end: stop}\n" +
			down + strings.Replace(up, "over", "turned", 1) + end, ""},
		{"the tool turns too near", both, poses + strings.Replace(begin, "steps", "  turned: {xyz: [0, 0, 110], rpy: [180, 0, 3.3], frame: shelf}\nsteps", 1) + "- {to: turned, path: line, speed: 80 mm/s, end: stop}\n" +
			down + strings.Replace(up, "over", "turned", 1) + end, "APPROACH_TILTED RETRACT_TILTED"},
		{"the tool turns far out, and fast near", in, poses + strings.Replace(begin, "steps", "  turned: {xyz: [0, 0, 110], rpy: [180, 0, 3], frame: shelf}\nsteps", 1) + "- {to: turned, path: line, speed: 80 mm/s, end: stop}\n" +
			strings.Replace(down, "80 mm/s", "160 mm/s", 1) + up + end, "FAST_APPROACH"},
		{"the tool turns a little on the spot", in, poses + half + "  turned: {xyz: [0, 0, 70], rpy: [180, 0, 1.5], frame: shelf}\n" + strings.Replace(begin, "steps", "  above: {xyz: [0, 0, 110], rpy: [180, 0, 1.5], frame: shelf}\nsteps", 1) +
			"- {to: above, path: line, speed: 80 mm/s, end: stop}\n- {to: turned, path: line, speed: 80 mm/s, end: stop}\n- {to: half, path: line, speed: 20 mm/s, end: stop}\n" + down + up + end, ""},

		{"rounded between two lines one way", in, poses + half + begin + "- {to: half, path: line, speed: 80 mm/s, end: fly-by 15 mm}\n" + down + up + end, ""},
		{"rounded from the side", in, poses + half + "  aside: {xyz: [40, 0, 70], rpy: [180, 0, 0], frame: shelf}\n" + strings.Replace(begin, "over", "aside", 1) +
			"- {to: half, path: line, speed: 80 mm/s, end: fly-by 15 mm}\n" + down + up + end, "APPROACH_TOO_LOW"},
		{"rounded after a joint move", in, poses + half + begin + "- {to: half, path: joint, speed: 3 %, end: fly-by 15 mm}\n" + down + up + end, "APPROACH_TOO_LOW"},

		{"no length is asked, and a joint move ends just above", "{check: approach, at: " + grip + ", at-most: 100 mm/s}", poses + lifted + begin +
			"- {to: lifted, path: joint, speed: 3 %, end: stop}\n" + down + up + end, "APPROACH_TOO_LOW"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := alone(t, read(t, "cell.yaml"), tt.check, tt.program, grader.Options{})
			raises(t, m, tt.want)
		})
	}
}

// The step that is too fast is named: the one before the last, on which the tool
// comes within 50 mm of the pose.
func TestFastStepOfTheWay(t *testing.T) {
	const check = "{check: approach, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, from: [50 mm, 100 mm], slow: 50 mm, at-most: 100 mm/s}\n" +
		"  - {check: retract, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, from: [50 mm, 100 mm], slow: 50 mm, at-most: 100 mm/s}"
	const program = head + "  over: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\n  low: {xyz: [0, 0, 60], rpy: [180, 0, 0], frame: shelf}\n" +
		"  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\nsteps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: over, path: joint, speed: 9 %, end: stop}\n" +
		"- {to: low, path: line, speed: 200 mm/s, end: stop}\n- {to: grip, path: line, speed: 80 mm/s, end: stop}\n" +
		"- {to: low, path: line, speed: 80 mm/s, end: stop}\n- {to: over, path: line, speed: 200 mm/s, end: stop}\n"
	m := alone(t, read(t, "cell.yaml"), check, program, grader.Options{})
	var got []string
	for _, f := range m.Findings {
		got = append(got, f.Code+" "+f.Step)
	}
	if want := []string{"FAST_APPROACH 3", "FAST_RETRACT 6"}; !slices.Equal(got, want) {
		t.Errorf("findings %q, want %q", got, want)
	}
}

// A hop of 4 mm at the pose itself is judged as well, in a cell whose arm is
// quick enough to become fast on it.
func TestFastAtThePose(t *testing.T) {
	const check = "{check: retract, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, from: [50 mm, 100 mm], slow: 50 mm, at-most: 100 mm/s}"
	const program = head + "  over: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\n  hop: {xyz: [0, 0, 34], rpy: [180, 0, 0], frame: shelf}\n" +
		"  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\nsteps:\n- {to: home, path: joint, speed: 9 %, end: stop}\n- {to: over, path: joint, speed: 9 %, end: stop}\n" +
		"- {to: grip, path: line, speed: 80 mm/s, end: stop}\n- {to: hop, path: line, speed: 300 mm/s, end: stop}\n- {to: grip, path: line, speed: 80 mm/s, end: stop}\n" +
		"- {to: over, path: line, speed: 80 mm/s, end: stop}\n"
	cellText := apply(t, read(t, "cell.yaml"), []edit{{"floor: -300\n", "floor: -300\nmotion: {tool-acceleration: 10000 mm/s2}\n"}})
	m := alone(t, cellText, check, program, grader.Options{})
	if len(m.Findings) != 1 || m.Findings[0].Code != "FAST_RETRACT" || m.Findings[0].Step != "4" {
		t.Errorf("findings %+v, want FAST_RETRACT at step 4", m.Findings)
	}
}
