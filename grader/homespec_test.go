package grader_test

import (
	"testing"

	"posework/grader"
)

// TestWhereHomeIs starts and ends programs at home poses that the task gives by
// name, by axes and by a place, and beside them.
func TestWhereHomeIs(t *testing.T) {
	// The needle and the cup are of one length, so that home is one place for both.
	const (
		byName  = "pose: home"
		byAxes  = "axes: [0, -4, 29, 0, 65, 0]"
		byPlace = "at: {xyz: [500, 0, 400], rpy: [180, 0, 0]}"
		poses   = head + "  other: {axes: [20, -4, 29, 0, 65, 0]}\n  flipped: {axes: [0, -4, 29, 180, -65, 180]}\n  turned: {axes: [0, -4, 29, 0, 65, 1]}\n" +
			"  place: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\n  beside: {xyz: [500, 0, 401], rpy: [180, 0, 0]}\n  askew: {xyz: [500, 0, 400], rpy: [180, 0, 0.2]}\nsteps:\n"
	)
	to := func(pose, path, end string) string {
		speed := "9 %"
		if path == "line" {
			speed = "50 mm/s"
		}
		return "- {to: " + pose + ", path: " + path + ", speed: " + speed + ", end: " + end + "}\n"
	}
	const stop, flyBy = "stop", "fly-by 20 mm"
	home, other := to("home", "joint", stop), to("other", "joint", stop)
	for _, tt := range []struct{ name, check, task, steps, want string }{
		{"starts at the named pose", "starts-home, " + byName, "", home + other, ""},
		{"starts at the named pose on a line", "starts-home, " + byName, "", to("home", "line", stop) + other, "NOT_HOME_AT_START"},
		{"flies by it", "starts-home, " + byName, "start: [10, -4, 29, 0, 65, 0]", to("home", "joint", flyBy) + other, "HOME_BLENDED"},
		{"starts elsewhere", "starts-home, " + byName, "", other + home, "NOT_HOME_AT_START"},
		{"starts in another configuration", "starts-home, " + byName, "", to("flipped", "joint", stop) + home, "NOT_HOME_AT_START"},
		{"starts turned by a degree", "starts-home, " + byName, "", to("turned", "joint", stop) + home, "NOT_HOME_AT_START"},
		{"starts turned by a degree where two are allowed", "starts-home, " + byName + ", angle: 2 deg", "", to("turned", "joint", stop) + home, ""},
		{"a pose that is not in the program", "starts-home, pose: rest", "", home + other, "NOT_HOME_AT_START"},
		{"stands there before", "starts-home, " + byName, "start: [0, -4, 29, 0, 65, 0]", other, ""},
		{"stands elsewhere before, and does not go there", "starts-home, " + byName, "start: [10, -4, 29, 0, 65, 0]", other, "NOT_HOME_AT_START"},
		{"stands elsewhere before, and goes there", "starts-home, " + byName, "start: [10, -4, 29, 0, 65, 0]", home + other, ""},
		{"starts at the given axes", "starts-home, " + byAxes, "", home + other, ""},
		{"starts at other axes", "starts-home, " + byAxes, "", other + home, "NOT_HOME_AT_START"},
		{"starts at the given place", "starts-home, " + byPlace, "", to("place", "joint", stop) + other, ""},
		{"starts a millimetre beside it", "starts-home, " + byPlace, "", to("beside", "joint", stop) + other, "NOT_HOME_AT_START"},
		{"starts a millimetre beside it where two are allowed", "starts-home, " + byPlace + ", within: 2 mm", "", to("beside", "joint", stop) + other, ""},

		{"ends at the named pose", "ends-home, " + byName, "", other + home, ""},
		{"flies by it at the end", "ends-home, " + byName, "", other + to("home", "joint", flyBy), "HOME_BLENDED"},
		{"ends in another configuration", "ends-home, " + byAxes, "", other + to("flipped", "joint", stop), "NOT_HOME_AT_END"},
		{"ends elsewhere", "ends-home, " + byAxes, "", home + other, "NOT_HOME_AT_END"},
		{"ends at the given place", "ends-home, " + byPlace, "", other + to("place", "joint", stop), ""},
		{"ends a millimetre beside it", "ends-home, " + byPlace, "", other + to("beside", "joint", stop), "NOT_HOME_AT_END"},
		{"ends askew", "ends-home, " + byPlace, "", other + to("askew", "joint", stop), "NOT_HOME_AT_END"},
		{"ends askew where it may", "ends-home, " + byPlace + ", angle: 0.3 deg", "", other + to("askew", "joint", stop), ""},
		{"never comes to its end", "ends-home, " + byName, "", other + "- {wait: {part-held: on, at-most: 1 s}}\n" + home, "NOT_HOME_AT_END WAIT_TIMED_OUT"},
		{"does not move", "starts-home, " + byName, "", "- {pause: 1 s}\n", "NOT_HOME_AT_START NO_MOTION"},
		{"does not move to an end", "ends-home, " + byName, "", "- {pause: 1 s}\n", "NOT_HOME_AT_END NO_MOTION"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, k := setup(t, read(t, "cell.yaml"), "goal: test\nmode: automatic\n"+tt.task+"\nchecks: [{check: "+tt.check+"}]\n")
			raises(t, grade(t, c, k, "program.yaml", poses+tt.steps, grader.Options{}), tt.want)
		})
	}
}
