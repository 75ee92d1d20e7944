package practice

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"posework/engine/shape"
	"posework/kin"
)

// bench under random hands. What must hold whatever anyone does is checked after
// every tick.
type hands struct {
	c         *Controller
	sinceHeld float64 // s since a hold was last renewed with the device enabling
	halted    float64 // s since a stop was asked for in motion; negative: none
	frames    kin.Frames
}

func newHands(t *rapid.T) *hands {
	c := bench(t)
	if rapid.Bool().Draw(t, "program") {
		if err := c.Load(plan(t, c.cell, lift), "digest"); err != nil {
			t.Fatal(err)
		}
	}
	h := &hands{c: c, sinceHeld: 10, halted: -1}
	h.frames = c.body.frames
	return h
}

func drawAction(t *rapid.T) Action {
	a := Action{
		Kind:     Kind(rapid.IntRange(int(JogAxis), int(Return)).Draw(t, "kind")),
		Axis:     rapid.IntRange(0, 5).Draw(t, "axis"),
		Negative: rapid.Bool().Draw(t, "negative"),
		Frame:    rapid.SampledFrom([]string{InBase, InTool, "stand", "turned"}).Draw(t, "frame"),
		By:       rapid.SampledFrom([]float64{0, 0, 0.02, 5}).Draw(t, "by"),
	}
	if a.Kind != JogAxis {
		a.Axis %= 3
	}
	if a.Kind == GoTo || a.Kind == GoStraight {
		a.Target = degs(rapid.Float64Range(-60, 60).Draw(t, "q1"), rapid.Float64Range(-20, 40).Draw(t, "q2"), rapid.Float64Range(-30, 40).Draw(t, "q3"),
			rapid.Float64Range(-20, 20).Draw(t, "q4"), rapid.Float64Range(20, 80).Draw(t, "q5"), 0)
	}
	return a
}

// spread returns points of arm, tool and held part, always the same ones: what
// is moved faster than it may be shows there.
func spread(c *Controller, f *kin.Frames) []kin.Vec {
	tcp := f[6].Mul(&c.tool.TCP)
	points := []kin.Vec{f[6].T, tcp.T}
	for i := range c.body.moving {
		s := &c.body.solids[i]
		l := &s.local
		ends := []kin.Vec{l.P}
		r := [3]kin.Vec{{X: l.R}, {Y: l.R}, {Z: l.R}}
		switch l.Kind {
		case shape.Capsule:
			ends = append(ends, l.Q)
		case shape.Cylinder:
			h := l.Rot.Z.Scale(l.Half.Z)
			ends = []kin.Vec{l.P.Add(h), l.P.Sub(h)}
			r = [3]kin.Vec{l.Rot.X.Scale(l.R), l.Rot.Y.Scale(l.R)}
		case shape.Box:
			r = [3]kin.Vec{l.Rot.X.Scale(l.Half.X).Add(l.Rot.Y.Scale(l.Half.Y)).Add(l.Rot.Z.Scale(l.Half.Z)), l.Rot.X.Scale(l.Half.X).Sub(l.Rot.Y.Scale(l.Half.Y))}
		}
		for _, e := range ends {
			for _, d := range r {
				points = append(points, f[s.link].Apply(e.Add(d)), f[s.link].Apply(e.Sub(d)))
			}
		}
	}
	return points
}

func (h *hands) tick(t *rapid.T) {
	c := h.c
	before := c.q
	from := spread(c, &h.frames)
	solids, moving := len(c.body.solids), c.Moving()
	speed, mode := c.speed, c.mode
	c.Advance(tick)
	if h.sinceHeld += tick; h.halted >= 0 {
		h.halted += tick
	}
	moved := c.q != before
	if mode == Manual && moved {
		if h.sinceHeld > 0.3+1e-9 {
			t.Fatalf("the arm moves %.3f s after the last hold", h.sinceHeld)
		}
		if c.phase == running && !c.enabled() {
			t.Fatal("the arm is driven though the device does not enable")
		}
	}
	if h.halted > 0.3 && moved {
		t.Fatalf("the arm still moves %.3f s after a stop", h.halted)
	}
	if !c.Moving() {
		h.halted = -1
	}
	if len(c.body.solids) == solids && mode == Manual {
		to := spread(c, &c.body.frames)
		for i := range min(len(from), len(to)) {
			if v := to[i].Sub(from[i]).Norm() / tick; v > min(speed, MaxManual)*(1+1e-9) {
				t.Fatalf("a point moves at %.3f mm/s at the speed step %v (moving before: %v)", v, speed, moving)
			}
		}
	}
	h.frames = c.body.frames
	if axis, by, ok := c.cell.Arm.Within(&c.q); !ok {
		t.Fatalf("axis %d is %g past its limit", axis, by)
	}
	for i := range c.body.pairs {
		p := &c.body.pairs[i]
		if d := c.body.distance(p); d < -p.allowed()-1e-6 {
			t.Fatalf("%s is %.4f mm in %s", c.body.solids[p.a].name, -d, c.body.solids[p.b].name)
		}
	}
}

func (h *hands) pass(t *rapid.T, s float64) {
	for range int(math.Round(s / tick)) {
		h.tick(t)
	}
}

func (h *hands) stopped() {
	if h.c.Moving() {
		h.halted = 0
	}
}

// TestMachine lets random hands work the bench: hold, let go, squeeze, stop,
// switch modes, open the gate.
func TestMachine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := newHands(t)
		c := h.c
		hold := func(t *rapid.T) {
			a := drawAction(t)
			n := rapid.IntRange(1, 25).Draw(t, "repeats")
			for range n {
				c.Grip(Middle)
				if c.Hold(a) != nil {
					break
				}
				if c.enabled() {
					h.sinceHeld = 0
				}
				h.pass(t, 0.04)
			}
		}
		t.Repeat(map[string]func(*rapid.T){
			"hold":  hold,
			"hold2": hold,
			"hold without the device": func(t *rapid.T) {
				if err := c.Hold(drawAction(t)); err == nil && c.enabled() {
					h.sinceHeld = 0
				}
			},
			"step": func(t *rapid.T) {
				if err := c.SetUp(); err != nil {
					return
				}
				for _, a := range []Action{{Kind: Return}, step, step} {
					for range 60 {
						c.Grip(Middle)
						if c.Hold(a) != nil {
							break
						}
						if c.enabled() {
							h.sinceHeld = 0
						}
						h.pass(t, 0.1)
					}
					h.pass(t, 0.3)
				}
			},
			"grip": func(t *rapid.T) {
				c.Grip(Grip(rapid.IntRange(0, 2).Draw(t, "grip")))
				if c.grip != Middle && c.mode == Manual {
					h.stopped()
				}
			},
			"let go":         func(t *rapid.T) { c.Release() },
			"stop":           func(t *rapid.T) { c.Stop(); h.stopped() },
			"emergency stop": func(t *rapid.T) { c.EmergencyStop(); h.stopped() },
			"reset": func(t *rapid.T) {
				c.Unlatch()
				if err := c.Reset(); err != nil && !c.open {
					t.Fatal(err)
				}
			},
			"speed": func(t *rapid.T) {
				if !c.Moving() {
					c.SetSpeed(rapid.SampledFrom(Speeds[:]).Draw(t, "speed"))
				}
			},
			"gate": func(t *rapid.T) { c.SetGate(rapid.Bool().Draw(t, "open")) },
			"mode": func(t *rapid.T) {
				m := Mode(rapid.IntRange(0, 1).Draw(t, "mode"))
				err := c.SetMode(m)
				if m == Automatic && err == nil {
					for i, done := range c.done {
						if !done {
							t.Fatalf("automatic mode without step %d proved", i)
						}
					}
				}
			},
			"signal": func(t *rapid.T) { _ = c.SetSignal(0, rapid.Bool().Draw(t, "on")) },
			"wait":   func(t *rapid.T) { h.pass(t, rapid.Float64Range(0, 0.5).Draw(t, "s")) },
			"":       func(t *rapid.T) { h.tick(t) },
		})
	})
}

// TestForwardBackMachine: k steps forward and k back restore the state, with
// stops, releases and squeezes in between.
func TestForwardBackMachine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := loaded(t, lift)
		disturbed := func(a Action, done func() bool) {
			for range 4000 {
				c.Grip(Middle)
				if err := c.Hold(a); err != nil {
					t.Fatalf("%+v: %v", a, err)
				}
				c.Advance(0.02)
				switch rapid.IntRange(0, 60).Draw(t, "disturbance") {
				case 0:
					c.Release()
				case 1:
					c.Stop()
				case 2:
					c.Grip(Released)
				}
				for !done() && c.Moving() && c.hold <= 0 {
					c.Advance(0.02) // until it stands
				}
				if done() {
					break
				}
			}
			if !done() {
				t.Fatalf("%+v never ends", a)
			}
			for c.Moving() {
				c.Advance(0.02)
			}
			c.Advance(0.3)
		}
		start := rapid.IntRange(0, 4).Draw(t, "start")
		for range start {
			finish(t, c, step)
		}
		k := rapid.IntRange(1, c.steps()-start).Draw(t, "k")
		want := snap(c)
		for i := range k {
			disturbed(step, func() bool { r := c.Read(); return r.Step > start+i && !r.Moving })
		}
		for i := range k {
			at := start + k - 1 - i
			disturbed(back, func() bool { r := c.Read(); return r.Step == at && !r.Within && !r.Moving })
		}
		if got := snap(c); !got.same(&want) {
			t.Fatalf("%d steps forward and back: %+v, want %+v", k, got, want)
		}
	})
}
