package motion

import (
	"math"
	"strings"
	"testing"

	"posework/engine/cell"
	"posework/kin"
)

const someSteps = "steps:\n- {to: home, path: joint, speed: 20 %, end: stop}\n"

// What a program asks of a cell that the cell can't give, with the place and
// what is said of it.
func TestPlanMistakes(t *testing.T) {
	home := "poses:\n  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}\n"
	seen := map[string]bool{}
	for _, tt := range []struct{ name, text, want string }{
		{"tool", "tool: cip\n" + home + someSteps, "cup"},
		{"tool of a step", "tool: cup\n" + home + someSteps + "- {tool: blad}\n", "blade"},
		{"frame", "tool: cup\n" + home + "  a: {xyz: [0, 0, 100], rpy: [180, 0, 0], frame: rak}\n" + someSteps, "rack"},
		{"signal", "tool: cup\n" + home + someSteps + "- {set: {vacum: on}}\n", "vacuum"},
		{"an input can't be set", "tool: cup\n" + home + someSteps + "- {set: {part-held: on}}\n", "part-held"},
		{"out of reach", "tool: cup\n" + home + "  far: {xyz: [1500, 0, 300], rpy: [180, 0, 0]}\n" + someSteps + "- {to: far, path: line, speed: 50 mm/s, end: stop}\n", "beyond the reach of the arm"},
		{"frame points in line", "tool: cup\n" + home + "  o: {xyz: [400, 0, 100], rpy: [180, 0, 0]}\n  x: {xyz: [500, 0, 100], rpy: [180, 0, 0]}\n  y: {xyz: [600, 0.05, 100], rpy: [180, 0, 0]}\nframes:\n  f: {origin: o, along-x: x, in-plane: y}\n" + someSteps, "line"},
		{"arc in line", "tool: cup\n" + home + "  a: {xyz: [500, -100, 400], rpy: [180, 0, 0]}\n  m: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 100, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 20 %, end: stop}\n- {to: b, through: m, path: arc, speed: 50 mm/s, end: stop}\n", "pose m and pose b lie on one line"},
		{"arc through its start", "tool: cup\n" + home + "  a: {xyz: [500, -100, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 100, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 20 %, end: stop}\n- {to: b, through: a, path: arc, speed: 50 mm/s, end: stop}\n", "pose a is where the arc starts"},
		{"arc to its start", "tool: cup\n" + home + "  a: {xyz: [500, -100, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 100, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 20 %, end: stop}\n- {to: a, through: b, path: arc, speed: 50 mm/s, end: stop}\n", "run a full circle as two arcs"},
		{"arc through its end", "tool: cup\n" + home + "  a: {xyz: [500, -100, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 100, 400], rpy: [180, 0, 0]}\n  b2: {xyz: [500, 100, 400], rpy: [180, 0, 0]}\nsteps:\n- {to: a, path: joint, speed: 20 %, end: stop}\n- {to: b, through: b2, path: arc, speed: 50 mm/s, end: stop}\n", "are the same place"},
		{"touches alike", "tool: cup\n" + home + "  a: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\ntools:\n  probe: {touches: [a, a, a, a]}\n" + someSteps, "too alike"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tr, l := Plan(soapCell(t), parse(t, tt.text), Options{})
			if len(l) != 1 || tr != nil || !strings.Contains(l[0].String(), tt.want) || !strings.HasPrefix(l[0].String(), "test.yaml:") || l[0].Pos.Line == 0 {
				t.Errorf("got %q, want one diagnostic with %q", l.Error(), tt.want)
			}
			for _, d := range l {
				seen[d.Code] = true
			}
		})
	}
	for id := range seen {
		found := false
		for _, c := range Codes {
			found = found || c.ID == id
		}
		if !found {
			t.Errorf("%s is raised and stands in no table", id)
		}
	}
}

// A corner is limited to half of its shorter neighbour; it stays within its ball,
// begins and ends at its edge, and the tool passes without stopping.
func TestCornerShortened(t *testing.T) {
	c := soapCell(t)
	c.Parts, c.Events = nil, nil
	text := func(flyBy string) string {
		return "tool: cup\nposes:\n  a: {xyz: [500, -150, 400], rpy: [180, 0, 0]}\n  b: {xyz: [500, 0, 400], rpy: [180, 0, 0]}\n  c: {xyz: [560, 0, 400], rpy: [180, 0, 0]}\nsteps:\n" +
			"- {to: a, path: joint, speed: 20 %, end: stop}\n- {to: b, path: line, speed: 100 mm/s, end: fly-by " + flyBy + "}\n- {to: c, path: line, speed: 100 mm/s, end: stop}\n"
	}
	for _, tt := range []struct {
		flyBy  string
		radius float64
	}{{"20 mm", 20}, {"30 mm", 30}, {"50 mm", 30}} {
		tr := mustPlan(t, c, text(tt.flyBy), Options{})
		pose := kin.Vec{X: 500, Z: 400}
		corners, nearest := 0, math.Inf(1)
		for i := range tr.Pieces {
			p := &tr.Pieces[i]
			if p.Kind != Corner {
				continue
			}
			corners++
			var e Eval
			for k := range 1001 {
				s, v, _ := p.Law.At(p.Law.Length * float64(k) / 1000)
				p.Path.At(s, &e)
				d := e.TCP.T.Sub(pose).Norm()
				nearest = math.Min(nearest, d)
				if d > tt.radius+1e-6 {
					t.Fatalf("fly-by %s: the corner is %g mm from its pose", tt.flyBy, d)
				}
				if (k == 0 || k == 1000) && !near(d, tt.radius, 1e-6) {
					t.Errorf("fly-by %s: the corner begins or ends %g mm from its pose, want %g", tt.flyBy, d, tt.radius)
				}
				if !(v > 0) {
					t.Fatalf("fly-by %s: the tool stops in the corner", tt.flyBy)
				}
			}
		}
		if corners != 1 || !(nearest > 0.1*tt.radius) || !(nearest < 0.5*tt.radius) {
			t.Errorf("fly-by %s: %d corners, the nearest passes the pose at %g mm", tt.flyBy, corners, nearest)
		}
	}
}

// Rounds of a repeat shift the poses of its frame; labels count as people do;
// routines are run where they are called.
func TestRepeatAndCall(t *testing.T) {
	tr := mustPlan(t, soapCell(t), `
tool: cup
poses:
  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}
  over: {xyz: [100, 100, 200], rpy: [180, 0, 0], frame: rack}
steps:
- {to: home, path: joint, speed: 20 %, end: stop}
- {repeat: 3, shift: {frame: rack, by: [0, 20, 5]}, steps: [{to: over, path: joint, speed: 20 %, end: stop}]}
- {call: back}
routines:
  back: [{pause: 0.5 s}, {to: home, path: joint, speed: 20 %, end: stop}]
`, Options{})
	var places []kin.Vec
	for _, s := range tr.Steps {
		if s.Source.To.Name == "over" {
			places = append(places, s.Target.T)
		}
	}
	for n, p := range places {
		if want := (kin.Vec{X: 520, Y: -50 + 20*float64(n), Z: 230 + 5*float64(n)}); !(p.Sub(want).Norm() <= 1e-9) {
			t.Errorf("round %d goes to %v, want %v", n+1, p, want)
		}
	}
	last := tr.Steps[len(tr.Steps)-1]
	if len(places) != 3 || len(tr.Steps) != 6 || last.Source.To.Name != "home" || !strings.Contains(last.Label, "back") {
		t.Errorf("%d rounds, %d steps, the last is %q to %q", len(places), len(tr.Steps), last.Label, last.Source.To.Name)
	}
}

// A signal that comes at the very end of a wait comes in time, whenever the wait
// began: sums of times are rounded.
func TestWaitUntilTheVeryEnd(t *testing.T) {
	for _, pause := range []string{"0.1", "0.3", "0.7", "1.1", "2.3", "4.7"} {
		c := soapCell(t)
		c.Events = []cell.Event{{When: []cell.SignalState{{Signal: 0, On: true}}, Near: -1, Hold: -1, Let: -1, Then: []cell.SignalState{{Signal: 1, On: true}}, After: 0.1}}
		for _, tt := range []struct {
			wait string
			late bool
		}{{"0.03", false}, {"0.029999", true}} {
			tr := mustPlan(t, c, "tool: cup\nsteps:\n- {pause: "+pause+" s}\n- {set: {vacuum: on}}\n- {pause: 0.07 s}\n- {wait: {part-held: on, at-most: "+tt.wait+" s}}\n", Options{})
			if (tr.Halt != nil) != tt.late {
				t.Errorf("after %s s: waiting at most %s s for a signal that comes after 0.03 s: halt %+v", pause, tt.wait, tr.Halt)
			}
		}
	}
}

// A wait that runs out stops the program there; one without limit whose signal
// never comes says so.
func TestWaits(t *testing.T) {
	head := "tool: cup\nposes:\n  home: {axes: [0, -3.74, 29.48, 0, 64.26, 0]}\nsteps:\n- {to: home, path: joint, speed: 20 %, end: stop}\n"
	for _, tt := range []struct {
		wait string
		why  Why
		time float64
	}{
		{"{wait: {part-held: on, at-most: 2 s}}", WaitTimedOut, 2},
		{"{wait: {part-held: on}}", WaitForever, 0.1}, // the cell's last event is due then; nothing comes after
	} {
		tr := mustPlan(t, soapCell(t), head+"- "+tt.wait+"\n- {to: home, path: joint, speed: 20 %, end: stop}\n", Options{})
		if tr.Halt == nil || tr.Halt.Why != tt.why || tr.Halt.Step != 1 || !near(tr.Duration, tt.time, 1e-9) {
			t.Errorf("%s: halt %+v after %g s", tt.wait, tr.Halt, tr.Duration)
		}
	}
	tr := mustPlan(t, soapCell(t), head+"- {wait: {part-held: off, at-most: 2 s}}\n", Options{})
	if tr.Halt != nil || tr.Duration != 0 {
		t.Errorf("a wait for what is already so: halt %+v after %g s", tr.Halt, tr.Duration)
	}
}
