package page

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// A motion that is too long to be drawn whole is drawn as far as it goes, and says
// so; nothing is drawn beyond that, and no button leads there.
func TestLongMotion(t *testing.T) {
	text := swap(t, read(t, "pick.yaml"), "speed: 80 mm/s, end: stop}  # s9.", "speed: 400 mm/s, end: stop}  # s9.")
	head, steps, ok := strings.Cut(text, "steps:\n")
	if !ok {
		t.Fatal("the program has no steps")
	}
	// The bar is taken once only, and who waits for it again waits in vain.
	steps = regexp.MustCompile(`(?m)^.*\{(set|wait): .*\n`).ReplaceAllString(steps, "")
	steps = strings.ReplaceAll(steps, "  - ", "      - ")
	a := newBench(t).attempt(t, 1, "Ada Quill", "long.yaml", head+"steps:\n  - repeat: 40\n    steps:\n"+steps)
	if a.Exam == nil {
		t.Fatal(a.Errors)
	}
	s := newStage(a)
	if s.until >= a.Exam.Motion.Duration/2 || s.until < 60 || len(s.way) > mostWaypoints+50 {
		t.Fatalf("%v of %v s are drawn, with %d waypoints", s.until, a.Exam.Motion.Duration, len(s.way))
	}
	if last := s.graphs.Times[len(s.graphs.Times)-1]; last != s.until {
		t.Errorf("graphs end at %v s, the path at %v", last, s.until)
	}
	var b strings.Builder
	if err := Section(&b, a); err != nil {
		t.Fatal(err)
	}
	doc := b.String()
	if !strings.Contains(doc, "graphs and replay show the first ") {
		t.Error("the part does not say that the motion is cut short")
	}
	for _, c := range []struct {
		place *regexp.Regexp
		most  float64
	}{
		{regexp.MustCompile(`(?:cx|x)="([0-9.]+)%"`), 100},
		{regexp.MustCompile(`data-at="([0-9.]+)" hidden`), s.until + 0.01},
	} {
		found := c.place.FindAllStringSubmatch(doc, -1)
		if len(found) == 0 {
			t.Errorf("nothing matches %v", c.place)
		}
		for _, m := range found {
			if v, err := strconv.ParseFloat(m[1], 64); err != nil || v > c.most {
				t.Errorf("%s lies beyond %v", m[0], c.most)
			}
		}
	}
	if n := len(doc); n > 400_000 {
		t.Errorf("the part takes %d bytes", n)
	}
}
