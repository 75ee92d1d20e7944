package report

import (
	"fmt"
	"slices"
	"testing"
)

// What one learner does ten times is one learner's mistake; among as many learners
// the graver mistake comes first, and then the alphabet decides.
func TestTallies(t *testing.T) {
	found := func(codes ...string) (list []Found) {
		for _, c := range codes {
			list = AddFound(list, c)
		}
		return list
	}
	first := found("FAST_APPROACH", "PLACE_OFF", "FAST_APPROACH", "FAST_APPROACH")
	if want := []Found{{"FAST_APPROACH", 3}, {"PLACE_OFF", 1}}; !slices.Equal(first, want) {
		t.Fatalf("counted %v, want %v", first, want)
	}
	var got []string
	for _, k := range Tallies([][]Found{
		first,
		nil,
		found("PLACE_OFF", "CONTACT"),
		found("CLEARANCE_LOW", "PLACE_OFF", "NO_SUCH_CODE", "CONTACT", "FAST_APPROACH"),
	}) {
		if k.Code != "NO_SUCH_CODE" && k.Doc.Code != k.Code {
			t.Errorf("%s is explained as %q", k.Code, k.Doc.Code)
		}
		got = append(got, fmt.Sprint(k.Code, " ", k.Learners, " ", k.Times))
	}
	want := []string{
		"PLACE_OFF [0 2 3] 3",
		"CONTACT [2 3] 2", // it stops an attempt, so it comes before a more frequent one
		"FAST_APPROACH [0 3] 4",
		"NO_SUCH_CODE [3] 1",
		"CLEARANCE_LOW [3] 1",
	}
	if !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
}
