package grader_test

import (
	"strings"
	"testing"

	"posework/grader"
)

// An arm without a tool moves its bare flange, and is graded as any other.
func TestWithoutATool(t *testing.T) {
	c, k := setup(t, "arm: hazel\nfloor: -300\nsolids:\n- {name: post, box: [100, 100, 1000], xyz: [500, 0, 200]}\n",
		"goal: x\nmode: automatic\nchecks: [{check: clearance, least: 5 mm}, {check: top-speed, at-most: 5000 mm/s}]\n")
	text := func(yaw string) []byte {
		return []byte("posework: program/1\nposes:\n  a: {axes: [90, -4, 29, 0, 65, 0]}\n  b: {axes: [" + yaw + ", -4, 29, 0, 65, 0]}\n" +
			"steps:\n- {to: a, path: joint, speed: 5 %, end: stop}\n- {to: b, path: joint, speed: 5 %, end: stop}\n")
	}
	for yaw, want := range map[string]string{"60": "", "0": "CONTACT"} {
		m, l := grader.Grade(c, k, "program.yaml", text(yaw), grader.Options{})
		if err := l.Err(); err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(codes(m), " "); got != want || m.Passed != (want == "") {
			t.Errorf("to %s degrees: findings %q, passed %v, want %q", yaw, got, m.Passed, want)
		}
	}
}
