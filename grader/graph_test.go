package grader_test

import (
	"fmt"
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
				if graph.Unit == "mm/s" && !(v <= c.Extreme.Hi+rounding) || graph.Unit != "mm/s" && !(v >= c.Extreme.Lo-rounding) {
					t.Errorf("%s, %s: %v at %v s lies beyond the extreme %v", graph.Name, c.Name, v, g.Times[i], c.Extreme)
				}
			}
			if v := c.Values[at(t, g, c.At)]; !(math.Abs(v-c.Extreme.Lo) <= 1) {
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
		if f.Code == "OVERSPEED_MANUAL" && !(math.Abs(got-want) <= 1) || f.Code != "OVERSPEED_MANUAL" && got > want+0.1 {
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
			if d := to.TCP.T.Sub(from.TCP.T).Norm(); !(math.Abs(d-50) <= 1e-3) {
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
	if len(wrist.Limits) != 1 || !(math.Abs(wrist.Limits[0].Value-10) <= 1e-9) || wrist.Limits[0].Most {
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
	if e := curve.Extreme; e.Unit != "mm" || least < e.Lo-1e-6 || least > e.Hi+0.1 || !math.IsInf(e.Hi, 1) && !(math.Abs(least-e.Lo) <= 0.1) {
		t.Errorf("the samples come down to %v, the extreme is %v", least, e)
	}
	x, _ = grader.Prepare(c, task, "turn.yaml", []byte(text), grader.Options{Work: 1})
	if e := graph(t, x.Graphs(x.Motion.Duration, 50, nil), "clearance").Curves[0].Extreme; e.Unit != "" {
		t.Errorf("an examination that could not finish gives the extreme %v", e)
	}
}

// TestGraphsOnFile holds what is drawn of several motions against what is on file:
// ten moments of each curve, its extreme, and where each limit is drawn.
func TestGraphsOnFile(t *testing.T) {
	const (
		poses = "  low: {xyz: [0, -40, 60], rpy: [180, 0, 0], frame: bin}\n  a: {xyz: [0, -250, 200], rpy: [180, 0, 0], frame: bin}\n" +
			"  b: {xyz: [0, 150, 200], rpy: [180, 0, 0], frame: bin}\n  over: {xyz: [0, 0, 110], rpy: [180, 0, 0], frame: shelf}\n" +
			"  grip: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}\nsteps:\n"
		home = "- {to: home, path: joint, speed: 9 %, end: stop}\n"
		zone = home + "- {to: a, path: joint, speed: 9 %, end: stop}\n- {to: b, path: line, speed: 200 mm/s, end: stop}\n"
		take = home + "- {to: over, path: joint, speed: 9 %, end: stop}\n- {to: grip, path: line, speed: 60 mm/s, end: stop}\n" +
			"- {set: {vacuum: on}}\n- {wait: {part-held: on, at-most: 1 s}}\n- {to: over, path: line, speed: 60 mm/s, end: stop}\n- {to: low, path: joint, speed: 9 %, end: stop}\n"
		at = "at: {xyz: [0, 0, 30], rpy: [180, 0, 0], frame: shelf}"
	)
	for _, tt := range []struct {
		name, checks, steps string
		until               float64 // s; 0: all of it
		points              int
	}{
		{"a zone with a limit", "{check: keeps-out}", zone, 0, 100},
		{"its beginning", "{check: keeps-out}", zone, 1.2, 100},
		{"few points for many pieces", "{check: keeps-out}", take, 0, 10},
		{"nothing is asked", "{check: reach}", take, 0, 100},
		{"near one thing", "{check: speed-near, solid: bar, within: 60 mm, at-most: 80 mm/s}", take, 0, 100},
		{"near three", "{check: speed-near, solid: [bar, bin-floor, shelf-top], within: 60 mm, at-most: 80 mm/s}", take, 0, 100},
		{"near things far off", "{check: speed-near, solid: post, within: 400 mm, at-most: 80 mm/s}, {check: clearance, least: 20 mm}", take, 0, 100},
		{"limits on the way in and out", "{check: approach, " + at + ", slow: 30 mm, at-most: 60 mm/s}, {check: retract, " + at + ", slow: 40 mm, at-most: 70 mm/s}", take, 0, 100},
		{"no limit on the way in", "{check: approach, " + at + "}", take, 0, 100},
		{"two clearances, alignments, axes", "{check: clearance, least: 10 mm}, {check: clearance, least: 0 mm, own: 40 mm}, {check: singularity-room, wrist: 10 deg, shoulder: 50 mm}, {check: singularity-room, wrist: 15 deg}, {check: axis-room, least: 7 deg}", take, 0, 100},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, k := setup(t, read(t, "cell.yaml"), "goal: test\nmode: automatic\nchecks: ["+tt.checks+"]\n")
			x, l := grader.Prepare(c, k, "program.yaml", []byte(head+poses+tt.steps), grader.Options{})
			if err := l.Err(); err != nil {
				t.Fatal(err)
			}
			until := tt.until
			if until == 0 {
				until = x.Motion.Duration
			}
			onFile(t, drawn(x.Graphs(until, tt.points, nil)))
		})
	}
}

// drawn writes down graphs, with numbers to a tenth: what is between two
// certified ends is not the same for every machine.
func drawn(g *grader.Graphs) string {
	var b strings.Builder
	tenth := func(v float64) string { return rounded(math.Round(10*v) / 10) }
	fmt.Fprintf(&b, "%d moments, %s to %s s\n", len(g.Times), tenth(g.Times[0]), tenth(g.Times[len(g.Times)-1]))
	for _, graph := range g.All {
		fmt.Fprintf(&b, "  %s, %s\n", graph.Name, graph.Unit)
		for _, l := range graph.Limits {
			side := "at least"
			if l.Most {
				side = "at most"
			}
			fmt.Fprintf(&b, "    %s %s, %q", side, tenth(l.Value), l.Name)
			for _, s := range l.Spans {
				fmt.Fprintf(&b, ", %s to %s s", tenth(s[0]), tenth(s[1]))
			}
			fmt.Fprintln(&b)
		}
		for _, c := range graph.Curves {
			fmt.Fprintf(&b, "    curve %q:", c.Name)
			for i := range 10 {
				k := i * (len(g.Times) - 1) / 9
				fmt.Fprintf(&b, " %s", tenth(c.Values[k]))
				if c.Subject != nil && c.Subject[k] != "" {
					fmt.Fprintf(&b, " (%s)", c.Subject[k])
				}
			}
			fmt.Fprintf(&b, "; extreme %s to %s %s at %s s\n", tenth(c.Extreme.Lo), tenth(c.Extreme.Hi), c.Extreme.Unit, tenth(c.At))
		}
	}
	return b.String()
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
