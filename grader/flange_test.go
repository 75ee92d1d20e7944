package grader_test

import (
	"testing"

	"posework/grader"
)

// An arm without a tool moves its bare flange, and is graded as any other.
func TestWithoutATool(t *testing.T) {
	c, k := setup(t, "arm: hazel\nfloor: -300\nsolids:\n- {name: post, box: [100, 100, 1000], xyz: [500, 0, 200]}\n",
		"goal: x\nmode: automatic\nchecks: [{check: clearance, least: 5 mm}, {check: top-speed, at-most: 5000 mm/s}]\n")
	text := func(yaw string) string {
		return "posework: program/1\nposes:\n  a: {axes: [90, -4, 29, 0, 65, 0]}\n  b: {axes: [" + yaw + ", -4, 29, 0, 65, 0]}\n" +
			"steps:\n- {to: a, path: joint, speed: 5 %, end: stop}\n- {to: b, path: joint, speed: 5 %, end: stop}\n"
	}
	for _, tt := range []struct{ yaw, want string }{{"60", ""}, {"0", "CONTACT"}} {
		raises(t, grade(t, c, k, "program.yaml", text(tt.yaw), grader.Options{}), tt.want)
	}
}
