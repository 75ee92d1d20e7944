package practice

import (
	"errors"
	"testing"
)

var down = Action{Kind: JogAlong, Axis: 2, Negative: true, Frame: InBase}

// IEC 60204-1 and ISO 10218-1, as the course teaches them (facts F021 to F023):
// only the middle enables; going on from a squeeze through the middle does not;
// the device permits motion, the hold-to-run control makes it.
func TestEnablingDevice(t *testing.T) {
	for _, c := range []struct {
		name   string
		grips  []Grip
		hold   bool
		enable bool
		moves  bool
		err    error
	}{
		{"nothing", nil, false, false, false, nil},
		{"middle alone", []Grip{Middle}, false, true, false, nil},
		{"hold alone", nil, true, false, false, ErrEnable},
		{"both", []Grip{Middle}, true, true, true, nil},
		{"released again", []Grip{Middle, Released}, true, false, false, ErrEnable},
		{"squeezed", []Grip{Middle, Squeezed}, true, false, false, ErrSqueezed},
		{"squeezed, then back in the middle", []Grip{Middle, Squeezed, Middle}, true, false, false, ErrSqueezed},
		{"squeezed, released, middle", []Grip{Middle, Squeezed, Released, Middle}, true, true, true, nil},
		{"squeezed at once", []Grip{Squeezed, Middle}, true, false, false, ErrSqueezed},
	} {
		k := bench(t)
		for _, g := range c.grips {
			k.Grip(g)
		}
		if c.hold {
			if err := k.Hold(down); !errors.Is(err, c.err) {
				t.Errorf("%s: error %v, want %v", c.name, err, c.err)
			}
		}
		before := k.Read().TCP.T
		k.Advance(0.1)
		r := k.Read()
		if r.Enabled != c.enable || r.Drives != c.enable {
			t.Errorf("%s: enabled %v and drives %v, want %v", c.name, r.Enabled, r.Drives, c.enable)
		}
		if moved := r.TCP.T.Sub(before).Norm() > 0; moved != c.moves {
			t.Errorf("%s: moves %v, want %v", c.name, moved, c.moves)
		}
	}
}

// The hand relaxes when nothing is held any more, and motion ends with the hold
// long before.
func TestHandRelaxes(t *testing.T) {
	c := bench(t)
	hold(t, c, down, 0.5)
	if !c.Read().Enabled || !c.Moving() {
		t.Fatal("no motion while both are held")
	}
	stopped := 0.0
	for c.Moving() {
		c.Advance(0.01)
		stopped += 0.01
	}
	// The hold was renewed 0.03 s before the count began.
	if stopped > 0.3-0.03 {
		t.Errorf("the arm came to rest %.2f s after the last hold", stopped+0.03)
	}
	if r := c.Read(); !r.Enabled || r.Ended != "the control was let go" {
		t.Errorf("after the hold the device is %v, ended by %q", r.Grip, r.Ended)
	}
	c.Advance(GripFor)
	if r := c.Read(); r.Enabled || r.Grip != Released {
		t.Errorf("after %v s the device is still %v", GripFor, r.Grip)
	}
	if c.Active() {
		t.Error("nothing is held, and still something changes with time")
	}
}

// Each way of stopping ends the motion; what is needed before the next one
// differs.
func TestStops(t *testing.T) {
	for _, c := range []struct {
		name    string
		stop    func(*Controller)
		atMost  float64 // s
		drives  bool    // afterwards
		ended   string
		entry   EntryKind
		recover func(*Controller) error
	}{
		{"let go", (*Controller).Release, 0.11, true, "the control was let go", "", nil},
		{"stop key", (*Controller).Stop, 0.11, true, "stopped", "", nil},
		{"device released", func(k *Controller) { k.Grip(Released) }, 0.11, false, "the enabling device was released", ReleasedEntry, nil},
		{"device squeezed", func(k *Controller) { k.Grip(Squeezed) }, 0.1, false, "the enabling device was squeezed past its middle", SqueezedEntry,
			func(k *Controller) error { k.Grip(Released); return nil }},
		{"emergency stop", (*Controller).EmergencyStop, 0.1, false, "emergency stop", EmergencyEntry,
			func(k *Controller) error {
				if err := k.Reset(); !errors.Is(err, ErrLatched) {
					t.Errorf("reset while pressed in: %v, want %v", err, ErrLatched)
				}
				k.Unlatch()
				if err := k.Hold(down); !errors.Is(err, ErrTripped) {
					t.Errorf("hold before the reset: %v, want %v", err, ErrTripped)
				}
				return k.Reset()
			}},
	} {
		k := bench(t)
		hold(t, k, down, 0.4)
		at := k.Read().TCP.T
		c.stop(k)
		passed := 0.0
		for k.Moving() && passed < 1 {
			k.Advance(0.01)
			passed += 0.01
		}
		r := k.Read()
		if passed > c.atMost {
			t.Errorf("%s: at rest after %.2f s, want %.2f at most", c.name, passed, c.atMost)
		}
		if way := r.TCP.T.Sub(at).Norm(); way > 50*0.1 {
			t.Errorf("%s: went on for %.1f mm at 50 mm/s", c.name, way)
		}
		if r.Drives != c.drives || r.Ended != c.ended {
			t.Errorf("%s: drives %v, ended by %q; want %v, %q", c.name, r.Drives, r.Ended, c.drives, c.ended)
		}
		entries := k.Log().Entries
		if c.entry == "" && len(entries) != 0 || c.entry != "" && (len(entries) != 1 || entries[0].Kind != c.entry || entries[0].Speed < 49) {
			t.Errorf("%s: log %+v, want one %q at 50 mm/s", c.name, entries, c.entry)
		}
		if c.recover != nil {
			if err := c.recover(k); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			k.Advance(0.2)
			if k.Moving() {
				t.Errorf("%s: taking the stop back moves the arm", c.name)
			}
		}
		hold(t, k, down, 0.1)
		if !k.Moving() {
			t.Errorf("%s: the arm can't be moved again", c.name)
		}
	}
}

// Category 0 takes the drives off at once, so the axes brake by themselves and
// the tool may leave its line; category 1 and 2 stay on it.
func TestCategoryZeroLeavesPath(t *testing.T) {
	off := func(stop func(*Controller)) float64 {
		k := New(soapCell(t), &above)
		k.SetSpeed(250)
		from := k.Read().TCP.T
		hold(t, k, Action{Kind: JogAlong, Axis: 1, Frame: InBase}, 0.8)
		stop(k)
		come(t, k)
		d := k.Read().TCP.T.Sub(from)
		d.Y = 0
		return d.Norm()
	}
	if d := off((*Controller).EmergencyStop); d < 0.01 {
		t.Errorf("after a stop of category 0 the tool is %.4f mm off its line", d)
	}
	for name, stop := range map[string]func(*Controller){"released": func(k *Controller) { k.Grip(Released) }, "stop key": (*Controller).Stop} {
		if d := off(stop); d > 1e-6 {
			t.Errorf("%s: the tool is %.6f mm off its line", name, d)
		}
	}
}

func TestNoTimeNoMotion(t *testing.T) {
	c := bench(t)
	c.Grip(Middle)
	if err := c.Hold(down); err != nil {
		t.Fatal(err)
	}
	before := c.Read().Q
	c.Advance(0)
	c.Advance(-1)
	if c.Read().Q != before {
		t.Error("the arm moves though no time passes")
	}
}
