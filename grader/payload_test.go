package grader_test

import (
	"strings"
	"testing"

	"posework/grader"
)

// The bar weighs 0.2 kg and is a box 30 mm high; gripped on its top its middle
// hangs 15 mm below the tool centre point, at z 195 of the flange. With a tool of
// 0.9 kg at (4, 0, 80) the common centre of gravity is at (3.273, 0, 100.909).
func TestPayload(t *testing.T) {
	const (
		check  = "{check: payload, tool: {mass: 0.9 kg, at: [4, 0, 80]}, mass: 0.05 kg, within: 2 mm}"
		empty  = "  - {payload: {mass: 0.9 kg, at: [4, 0, 80]}}\n"
		loaded = "  - {payload: {mass: 1.1 kg, at: [3.3, 0, 100.9]}}\n"
	)
	told := func(first, grip, lay string) []edit {
		return []edit{
			{"steps:\n", "steps:\n" + first},
			line("s5", "  - {wait: {part-held: on, at-most: 1 s}}\n"+strings.TrimSuffix(grip, "\n")),
			line("s11", "  - {wait: {part-held: off, at-most: 1 s}}\n"+strings.TrimSuffix(lay, "\n")),
		}
	}
	for _, tt := range []struct {
		name  string
		edits []edit
		want  string
	}{
		{"told and switched", told(empty, loaded, empty), ""},
		{"as far off as is allowed", told(empty, "  - {payload: {mass: 1.15 kg, at: [3.3, -2, 100.9]}}\n", empty), ""},
		{"nothing told", nil, "PAYLOAD_ZERO"},
		{"told after the first move", []edit{line("s2", empty+"  - {to: shelf-over, path: joint, speed: 9 %, end: stop}")}, "PAYLOAD_ZERO"},
		{"zero told", told("  - {payload: {mass: 0 kg, at: [0, 0, 0]}}\n", loaded, empty), "PAYLOAD_ZERO"},
		{"never switched", told(empty, "", ""), "PAYLOAD_NOT_SWITCHED"},
		{"not switched at the release", told(empty, loaded, ""), "PAYLOAD_NOT_SWITCHED"},
		{"the loaded one from the start", told(loaded, loaded, empty), "PAYLOAD_MASS"},
		{"the part alone", told(empty, "  - {payload: {mass: 0.2 kg, at: [0, 0, 195]}}\n", empty), "PAYLOAD_MASS"},
		{"mass a little too far off", told(empty, "  - {payload: {mass: 1.16 kg, at: [3.3, 0, 100.9]}}\n", empty), "PAYLOAD_MASS"},
		{"the plain mean of the centres", told(empty, "  - {payload: {mass: 1.1 kg, at: [2, 0, 137.5]}}\n", empty), "PAYLOAD_COG"},
		{"the centre a little too far off", told(empty, "  - {payload: {mass: 1.1 kg, at: [3.3, -2.1, 100.9]}}\n", empty), "PAYLOAD_COG"},
		{"switched before the grip", []edit{
			{"steps:\n", "steps:\n" + empty}, line("s3", loaded+"  - {to: grip, path: line, speed: 80 mm/s, end: stop}"),
			line("s11", "  - {wait: {part-held: off, at-most: 1 s}}\n"+strings.TrimSuffix(empty, "\n")),
		}, "PAYLOAD_MASS"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			raises(t, alone(t, read(t, "cell.yaml"), check, apply(t, read(t, "pick.yaml"), tt.edits), grader.Options{}), tt.want)
		})
	}
}
