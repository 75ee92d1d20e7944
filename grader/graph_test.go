package grader_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"posework/engine/motion"
	"posework/engine/shape"
	"posework/grader"
)

// graphed examines a program and samples its motion.
func graphed(t *testing.T, edits ...edit) (*grader.Exam, *grader.Mark, *grader.Graphs) {
	t.Helper()
	c, task := setup(t, read(t, "cell.yaml"), read(t, "pick_task.yaml"))
	x, l := grader.Prepare(c, task, "pick.yaml", []byte(apply(t, read(t, "pick.yaml"), edits)), grader.Options{})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	m := grader.Examine(x)
	var moments []float64
	for _, f := range m.Findings {
		moments = append(moments, f.From)
	}
	return x, m, x.Graphs(x.Motion.Duration, 300, moments)
}

func graph(t *testing.T, g *grader.Graphs, name string) *grader.Graph {
	t.Helper()
	i := slices.IndexFunc(g.All, func(g grader.Graph) bool { return g.Name == name })
	if i < 0 {
		t.Fatalf("there is no graph of %s", name)
	}
	return &g.All[i]
}

func at(t *testing.T, g *grader.Graphs, time float64) int {
	t.Helper()
	i, found := slices.BinarySearch(g.Times, time)
	if !found {
		t.Fatalf("no sample at %v s", time)
	}
	return i
}

// Samples keep within the certified extremes and reach them where those say so.
func TestGraphsKeepToTheExtremes(t *testing.T) {
	_, _, g := graphed(t)
	const rounding = 1e-6
	checked := 0
	for _, graph := range g.All {
		for _, c := range graph.Curves {
			if c.Extreme.Unit == "" || strings.Contains("wrist elbow shoulder", graph.Name) {
				continue // alignments: the extreme is that of lines and arcs alone
			}
			checked++
			for i, v := range c.Values {
				if graph.Unit == "mm/s" && v > c.Extreme.Hi+rounding || graph.Unit != "mm/s" && v < c.Extreme.Lo-rounding {
					t.Errorf("%s, %s: %v at %v s lies beyond the extreme %v", graph.Name, c.Name, v, g.Times[i], c.Extreme)
				}
			}
			if v := c.Values[at(t, g, c.At)]; math.Abs(v-c.Extreme.Lo) > 1 {
				t.Errorf("%s, %s: %v at %v s, but the extreme there is %v", graph.Name, c.Name, v, c.At, c.Extreme)
			}
		}
	}
	if checked != 9 { // tool, fastest point, clearance, six axes
		t.Errorf("%d curves were checked, want 9", checked)
	}
}

// What a finding measured is what the curve shows at its moment.
func TestGraphsShowTheFindings(t *testing.T) {
	_, m, g := graphed(t,
		line("s7", "  - {to: home, path: joint, speed: 60 %, end: stop}"),
		line("s8", "  - {to: low, path: joint, speed: 9 %, end: stop}"),
		edit{"poses:\n", "poses:\n  low: {xyz: [-30, 0, 60], rpy: [180, 0, 0], frame: bin}\n"})
	seen := map[string]bool{}
	for _, f := range m.Findings {
		var curve *grader.Curve
		want := f.Measured.Lo
		switch f.Code {
		case "OVERSPEED_MANUAL":
			curve = &graph(t, g, "tool speed").Curves[1]
		case "CLEARANCE_LOW", "CONTACT":
			curve = &graph(t, g, "clearance").Curves[0]
			want = f.Measured.Lo - f.Limit.Lo
		default:
			continue
		}
		seen[f.Code] = true
		got := curve.Values[at(t, g, f.From)]
		if f.Code == "OVERSPEED_MANUAL" && math.Abs(got-want) > 1 || f.Code != "OVERSPEED_MANUAL" && got > want+0.1 {
			t.Errorf("%s at %v s: the curve shows %v, the finding %v", f.Code, f.From, got, want)
		}
	}
	if !seen["OVERSPEED_MANUAL"] || !seen["CLEARANCE_LOW"] && !seen["CONTACT"] {
		t.Errorf("the program raised %v", codes(m))
	}
}

// The limit near solids is drawn where the tool is near them, measured here in
// another way: solid by solid, without the sweep.
func TestGraphsLimitNearSolids(t *testing.T) {
	x, _, g := graphed(t)
	limits := graph(t, g, "tool speed").Limits
	i := slices.IndexFunc(limits, func(l grader.Limit) bool { return strings.HasPrefix(l.Name, "within 60 mm of ") })
	if i < 0 || limits[i].Value != 150 || !limits[i].Most || limits[i].Name != "within 60 mm of shelf-top or bin-floor" {
		t.Fatalf("limits are %+v", limits)
	}
	inside, outside := 0, 0
	for _, time := range g.Times {
		on := slices.ContainsFunc(limits[i].Spans, func(s [2]float64) bool { return s[0] <= time && time <= s[1] })
		near := toolGap(x, time, "shelf-top", "bin-floor")
		switch {
		case on && near > 60+0.1:
			t.Errorf("at %v s the limit is drawn, but the tool is %.1f mm away", time, near)
		case !on && near < 60-0.1:
			t.Errorf("at %v s the limit is not drawn, but the tool is %.1f mm away", time, near)
		}
		if on {
			inside++
		} else {
			outside++
		}
	}
	if inside < 20 || outside < 20 {
		t.Errorf("%d samples with the limit, %d without: the test says little", inside, outside)
	}
}

// toolGap is the least distance of the tool, held part included, to solids.
func toolGap(x *grader.Exam, time float64, names ...string) float64 {
	var st motion.State
	x.Motion.At(time, &st)
	var bodies []shape.Shape
	for _, s := range x.Cell.Tools[0].Solids {
		var b shape.Shape
		s.Shape.Move(&st.Frames[6], &b)
		bodies = append(bodies, b)
	}
	if h := st.Scene.Held; h >= 0 {
		pose := st.Frames[6].Mul(&st.Scene.Parts[h].Pose)
		var b shape.Shape
		x.Cell.Parts[h].Shape.Move(&pose, &b)
		bodies = append(bodies, b)
	}
	least := math.Inf(1)
	for _, s := range x.Cell.Solids {
		if !slices.Contains(names, s.Name) {
			continue
		}
		for i := range bodies {
			least = math.Min(least, shape.Distance(&bodies[i], &s.Shape))
		}
	}
	return least
}

// The limit of an approach is drawn over its last 50 mm, to the end of the step.
func TestGraphsLimitOfAnApproach(t *testing.T) {
	x, _, g := graphed(t)
	end := x.Motion.Steps[2].End
	for _, l := range graph(t, g, "tool speed").Limits {
		for _, s := range l.Spans {
			if l.Value != 100 || math.Abs(s[1]-end) > 1e-6 {
				continue
			}
			var from, to motion.State
			x.Motion.At(s[0], &from)
			x.Motion.At(s[1], &to)
			if d := to.TCP.T.Sub(from.TCP.T).Norm(); math.Abs(d-50) > 1e-3 {
				t.Errorf("the limit is drawn over %v mm, want 50", d)
			}
			return
		}
	}
	t.Error("no limit ends with the approach")
}

// The least distance to an alignment is asked for on lines and arcs only.
func TestGraphsLimitOfAlignments(t *testing.T) {
	x, _, g := graphed(t)
	wrist := graph(t, g, "wrist")
	if len(wrist.Limits) != 1 || math.Abs(wrist.Limits[0].Value-10) > 1e-9 || wrist.Limits[0].Most {
		t.Fatalf("limits are %+v, want one of 10 deg", wrist.Limits)
	}
	for i := range x.Motion.Pieces {
		p := &x.Motion.Pieces[i]
		mid := (p.Start + p.End) / 2
		on := slices.ContainsFunc(wrist.Limits[0].Spans, func(s [2]float64) bool { return s[0] <= mid && mid <= s[1] })
		if on != (p.Kind == motion.LineMove) {
			t.Errorf("piece %d of kind %d: the limit is drawn: %v", i, p.Kind, on)
		}
	}
}

// A motion that stays far from everything has room without an upper end; one whose
// examination could not finish has none that is known.
func TestGraphsOfClearance(t *testing.T) {
	c, task := setup(t, read(t, "cell.yaml"), "goal: Turn.\nmode: automatic\nchecks:\n  - {check: clearance, least: 30 mm}\n")
	text := "posework: program/1\ntitle: Turn\ntool: cup\nposes:\n  home: {axes: [0, -4, 29, 0, 65, 0]}\n  there: {axes: [-20, -4, 29, 0, 65, 0]}\n" +
		"steps:\n  - {to: home, path: joint, speed: 9 %, end: stop}\n  - {to: there, path: joint, speed: 9 %, end: stop}\n"
	x, l := grader.Prepare(c, task, "turn.yaml", []byte(text), grader.Options{})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	g := x.Graphs(x.Motion.Duration, 50, nil)
	curve := graph(t, g, "clearance").Curves[0]
	least := slices.Min(curve.Values)
	if e := curve.Extreme; e.Unit != "mm" || least < e.Lo-1e-6 || least > e.Hi+0.1 || !math.IsInf(e.Hi, 1) && math.Abs(least-e.Lo) > 0.1 {
		t.Errorf("the samples come down to %v, the extreme is %v", least, e)
	}
	x, _ = grader.Prepare(c, task, "turn.yaml", []byte(text), grader.Options{Work: 1})
	if e := graph(t, x.Graphs(x.Motion.Duration, 50, nil), "clearance").Curves[0].Extreme; e.Unit != "" {
		t.Errorf("an examination that could not finish gives the extreme %v", e)
	}
}

func TestGraphsOfNothing(t *testing.T) {
	c, task := setup(t, read(t, "cell.yaml"), read(t, "pick_task.yaml"))
	x, l := grader.Prepare(c, task, "still.yaml", []byte("posework: program/1\ntitle: Still\ntool: cup\nposes: {home: {axes: [0, -4, 29, 0, 65, 0]}}\nsteps:\n  - {to: home, path: joint, speed: 9 %, end: stop}\n"), grader.Options{})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	if g := x.Graphs(x.Motion.Duration, 300, nil); g != nil {
		t.Errorf("a program that does not move has graphs: %+v", g.All[0])
	}
}

func BenchmarkGraphs(b *testing.B) {
	t := &testing.T{}
	c, k := setup(t, read(t, "cell.yaml"), read(t, "pick_task.yaml"))
	x, l := grader.Prepare(c, k, "pick.yaml", []byte(read(t, "pick.yaml")), grader.Options{})
	if len(l) > 0 {
		b.Fatal(l)
	}
	grader.Examine(x)
	b.ReportAllocs()
	for b.Loop() {
		x.Graphs(x.Motion.Duration, 300, nil)
	}
}
