package grader_test

import (
	"testing"

	"posework/grader"
)

// TestHandshake grades the talk of a program with a machine: the sound order and
// every way to leave a part of it out.
func TestHandshake(t *testing.T) {
	cellText := apply(t, read(t, "cell.yaml"), []edit{
		{"signals: {vacuum: output, part-held: input}", "signals: {vacuum: output, ask: output, part-held: input, ready: input}"},
		{"events:", "events:\n  - {when: {ask: on}, then: {ready: on}, after: 1 s}\n  - {when: {ask: off}, then: {ready: off}, after: 0.2 s}"},
	})
	const task = "goal: ask\nmode: automatic\nchecks:\n" +
		"- {check: handshake, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, ask: ask, answer: ready, clear-of: shelf-top, away: 100 mm, outputs: [vacuum, ask]}\n"
	const poses = "posework: program/1\ntool: cup\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n" +
		"  over: {xyz: [0, 0, 80], rpy: [180, 0, 0], frame: shelf}\n  grip: {xyz: [0, 0, 31], rpy: [180, 0, 0], frame: shelf}\n  high: {xyz: [0, 0, 150], rpy: [180, 0, 0], frame: shelf}\nsteps:\n"
	const (
		known = "- {set: {vacuum: off, ask: off}}\n"
		home  = "- {to: home, path: joint, speed: 20 %, end: stop}\n"
		ask   = "- {set: {ask: on}}\n"
		wait  = "- {wait: {ready: on, at-most: 3 s}}\n"
		over  = "- {to: over, path: joint, speed: 20 %, end: stop}\n"
		grip  = "- {to: grip, path: line, speed: 60 mm/s, end: stop}\n"
		out   = "- {to: high, path: line, speed: 60 mm/s, end: stop}\n"
		low   = "- {to: over, path: line, speed: 60 mm/s, end: stop}\n"
		done  = "- {set: {ask: off}}\n"
		gone  = "- {wait: {ready: off, at-most: 3 s}}\n"
	)
	for _, tt := range []struct{ name, steps, want string }{
		{"asked, answered, told", known + home + ask + wait + over + grip + out + done + home, ""},
		{"two moves at the pose are one visit", known + home + ask + wait + over + grip + "- {to: grip, path: joint, speed: 20 %, end: stop}\n" + out + done + home, ""},
		{"outputs set right after the move home", home + known + ask + wait + over + grip + out + done + home, ""},
		{"twice, each time anew", known + home + ask + wait + over + grip + out + done + home + gone + ask + wait + over + grip + out + done + home, ""},
		{"twice, the second time too soon", known + home + ask + wait + over + grip + out + done + ask + wait + over + grip + out + done + home, "STALE_SIGNAL"},
		{"a second visit without asking", known + home + ask + wait + over + grip + out + done + home + over + grip + out + done + home, "NOT_ASKED"},
		{"not asked", known + home + over + grip + out + done + home, "NOT_ASKED"},
		{"asked, not waited for", known + home + ask + over + grip + out + done + home, "NOT_ASKED"},
		{"asked and taken back", known + home + ask + wait + done + over + grip + out + done + home, "NOT_ASKED"},
		{"waits above the shelf", known + home + over + ask + wait + grip + out + done + home, "WAIT_INSIDE_MACHINE"},
		{"told above the shelf", known + home + ask + wait + over + grip + low + done + out + home, "TOLD_TOO_EARLY"},
		{"told on the bar", known + home + ask + wait + over + grip + done + out + home, "TOLD_TOO_EARLY"},
		{"not told", known + home + ask + wait + over + grip + out + home, "NOT_CONFIRMED"},
		{"asked again instead of told", known + home + ask + wait + over + grip + out + ask + home, "NOT_CONFIRMED"},
		{"told among other signals", known + home + ask + wait + over + grip + out + "- {set: {vacuum: off}}\n" + done + home, ""},
		{"one output left as it was", "- {set: {ask: off}}\n" + home + ask + wait + over + grip + out + done + home, "OUTPUT_UNKNOWN"},
		{"outputs set too late", home + over + home + known + ask + wait + over + grip + out + done + home, "OUTPUT_UNKNOWN"},
		{"in before it asks", known + home + over + out + home + ask + wait + over + grip + out + done + home, "NOT_ASKED"},
		{"in once more after it has told", known + home + ask + wait + over + grip + out + done + home + over + out + home, "NOT_ASKED"},
		{"in twice, asked each time, once without a visit", known + home + ask + wait + over + out + done + home + gone + ask + wait + over + grip + out + done + home, ""},
		{"asks again inside", known + home + ask + wait + over + ask + wait + grip + out + done + home, "STALE_SIGNAL WAIT_INSIDE_MACHINE"},
		{"never there", known + home + ask + wait + over + done + home, "TARGET_MISSED"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, k := setup(t, cellText, task)
			raises(t, grade(t, c, k, "program.yaml", poses+tt.steps, grader.Options{}), tt.want)
		})
	}
}

// An arm that the task leaves elsewhere moves with the first move already: outputs
// that are set after it come too late.
func TestOutputsBeforeTheFirstMotion(t *testing.T) {
	cellText := apply(t, read(t, "cell.yaml"), []edit{{"signals: {vacuum: output, part-held: input}", "signals: {vacuum: output, ask: output, part-held: input, ready: input}"}})
	const task = "goal: ask\nmode: automatic\nstart: [0, -4, 29, 0, 65, 0]\nchecks:\n" +
		"- {check: handshake, at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}, ask: ask, answer: ready, outputs: [vacuum]}\n"
	c, k := setup(t, cellText, task)
	const (
		known = "- {set: {vacuum: off}}\n"
		away  = "- {to: away, path: joint, speed: 20 %, end: stop}\n"
		poses = head + "  away: {axes: [40, -4, 29, 0, 65, 0]}\nsteps:\n"
	)
	raises(t, grade(t, c, k, "program.yaml", poses+known+away, grader.Options{}), "TARGET_MISSED")
	raises(t, grade(t, c, k, "program.yaml", poses+away+known+away, grader.Options{}), "OUTPUT_UNKNOWN TARGET_MISSED")
}
