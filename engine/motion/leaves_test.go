package motion

import "testing"

// A step that takes no time has no piece, but it leaves a scene behind.
func TestStepLeavesScene(t *testing.T) {
	tr := mustPlan(t, soapCell(t), `
poses:
  a: {axes: [0, -10, 30, 0, 60, 0]}
  b: {axes: [10, -10, 30, 0, 60, 0]}
steps:
  - {to: a, path: joint, speed: 20 %, end: stop}
  - {set: {vacuum: on}}
  - {to: b, path: joint, speed: 20 %, end: stop}
  - {set: {vacuum: off}}
`, Options{})
	for i, want := range []bool{false, true, true, false} {
		if got := tr.Scenes[tr.Steps[i].Scene].Signals[0]; got != want {
			t.Errorf("after step %d the vacuum is %v, want %v", i+1, got, want)
		}
	}
}
