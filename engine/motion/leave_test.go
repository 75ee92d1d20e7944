package motion

import (
	"strings"
	"testing"
)

// A tool that leaves a part before the event that it set off takes effect: the
// plan must come to an end, and the part must stay where it is.
func TestLeavesBeforeTheEvent(t *testing.T) {
	c := soapCell(t)
	text := strings.Replace(pickProgram, "- {wait: {part-held: on, at-most: 2 s}}\n", "", 1)
	tr := mustPlan(t, c, text, Options{})
	if tr.Halt != nil {
		t.Fatalf("halt %+v, want none", tr.Halt)
	}
	for i := range tr.Scenes {
		if tr.Scenes[i].Held >= 0 {
			t.Errorf("scene %d holds part %d, which the tool left before the vacuum was built up", i, tr.Scenes[i].Held)
		}
	}
}
