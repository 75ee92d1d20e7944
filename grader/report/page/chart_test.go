package page

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"posework/grader"
)

func TestInForce(t *testing.T) {
	most := []grader.Limit{{Value: 800, Most: true}, {Value: 250, Most: true, Spans: [][2]float64{{2, 5}}}, {Value: 100, Most: true, Spans: [][2]float64{{4, 5}, {8, 9}}}}
	least := []grader.Limit{{Value: 5}, {Value: 10, Spans: [][2]float64{{1, 2}}}}
	for _, c := range []struct {
		limits []grader.Limit
		at     float64
		want   float64
	}{{most, 1, 800}, {most, 3, 250}, {most, 4.5, 100}, {most, 8.5, 100}, {most, 7, 800}, {least, 0, 5}, {least, 1.5, 10}} {
		if got := inForce(c.limits, c.at); got != c.want {
			t.Errorf("at %v s the limit is %v, want %v", c.at, got, c.want)
		}
	}
	if got := inForce(most[1:2], 1); !math.IsNaN(got) {
		t.Errorf("where no limit holds it is %v, want none", got)
	}
}

func TestRound(t *testing.T) {
	for in, want := range map[float64]float64{0: 1, -3: 1, 1: 1, 1.01: 1.5, 7: 8, 8.5: 10, 251: 300, 800: 800, 920: 1000, 0.07: 0.08} {
		if got := round(in); !(math.Abs(got-want) <= 1e-12*want) {
			t.Errorf("round(%v) = %v, want %v", in, got, want)
		}
	}
}

// Classes of speed are inclusive: 250 mm/s is in the class up to 250.
func TestBand(t *testing.T) {
	for in, want := range map[float64]int{0: 1, 50: 1, 50.04: 1, 51: 2, 100: 2, 250: 3, 250.2: 4, 500: 4, 501: 5, 5000: 5} {
		if got := band(in); got != want {
			t.Errorf("band(%v) = %d, want %d", in, got, want)
		}
	}
}

// What is left out of a line is near what stays, and the ends stay.
func TestSimplify(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "n")
		p := make([]point, n)
		for i := range p {
			p[i] = point{float64(i), rapid.Float64Range(-5, 5).Draw(t, "y")}
		}
		const tolerance = 0.8
		out := simplify(slices.Clone(p), tolerance)
		if out[0] != p[0] || out[len(out)-1] != p[n-1] {
			t.Fatalf("from %v to %v, want from %v to %v", out[0], out[len(out)-1], p[0], p[n-1])
		}
		for _, q := range p {
			near := math.Inf(1)
			for i := range out[1:] {
				near = min(near, fromSegment(q, out[i], out[i+1]))
			}
			if near > tolerance+1e-9 {
				t.Errorf("%v lies %.3f from the line that is left", q, near)
			}
		}
	})
}

// The pictures and graphs show each finding of the second program with its letter.
func TestLettersShow(t *testing.T) {
	a := class(t)[1]
	v := newSection(a)
	var drawn strings.Builder
	for _, c := range slices.Concat(v.Motion.Charts, v.Motion.Small) {
		drawn.WriteString(string(c.Drawing))
	}
	_, rank := folded(a.Mark.Findings)
	for i, f := range a.Mark.Findings {
		l := letter(rank[i])
		if got := v.Findings[rank[i]]; got.Letter != l || got.Code != f.Code {
			t.Errorf("finding %d is listed as %s %s, want %s %s", i, got.Letter, got.Code, l, f.Code)
		}
		if (f.Code == "OVERSPEED_MANUAL" || f.Code == "FAST_APPROACH") && f.From == f.To && !strings.Contains(drawn.String(), ">"+l+"</text>") {
			t.Errorf("finding %s (%s) is in no graph", l, f.Code)
		}
	}
	if len(a.Mark.Findings) < 4 {
		t.Errorf("only %d findings: the test says little", len(a.Mark.Findings))
	}
}

// A learner with more findings than are written out loses none: repetitions of a
// step are counted where it stands, others by their code.
func TestManyFindings(t *testing.T) {
	a := class(t)[1]
	own := len(a.Mark.Findings)
	f := a.Mark.Findings[0]
	for i := range 200 {
		f.Step = fmt.Sprintf("8 (round %d)", i+2)
		a.Mark.Findings = append(a.Mark.Findings, f)
	}
	for i := range 90 {
		f.Subject = fmt.Sprintf("part %d", i)
		a.Mark.Findings = append(a.Mark.Findings, f)
	}
	v := newSection(a)
	n := len(v.Findings)
	for _, c := range v.More {
		n += c.Times
	}
	for _, u := range v.Findings {
		n += len(u.Again) + u.More
	}
	if len(v.Findings) != mostFindings || n != own+290 {
		t.Errorf("%d written and %d in all, want %d and %d", len(v.Findings), n, mostFindings, own+290)
	}
	first := v.Findings[0]
	if len(first.Again) != mostAgain || first.More != 200-mostAgain || !strings.HasPrefix(first.Again[0], "8 (round 2), at ") {
		t.Errorf("the first is found again in %q and %d more times", first.Again, first.More)
	}
	if l := v.Findings[mostFindings-1].Letter; l != "" {
		t.Errorf("finding %d has the letter %q", mostFindings, l)
	}
}

// What is known of an extreme is said, and no more.
func TestWordsOfClearance(t *testing.T) {
	graph := func(v grader.Value) *grader.Graph {
		return &grader.Graph{Name: "clearance", Unit: "mm", Curves: []grader.Curve{{Extreme: v}}, Limits: []grader.Limit{{}}}
	}
	const below = "below 0 a pair is nearer than asked"
	s := &stage{}
	if got := s.words(graph(grader.Value{Lo: 150, Hi: math.Inf(1), Unit: "mm"})); !slices.Equal(got, []string{"nowhere less than 150 mm more than is asked", below}) {
		t.Errorf("far from everything: %q", got)
	}
	if got := s.words(graph(grader.Value{})); !slices.Equal(got, []string{below}) {
		t.Errorf("not known: %q", got)
	}
}
