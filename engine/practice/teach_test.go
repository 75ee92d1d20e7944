package practice

import (
	"strings"
	"testing"

	"posework/kin"
)

// What is recorded leads back to where the arm stood, in whatever frame.
func TestRecordLeadsBack(t *testing.T) {
	c := bench(t)
	c.SetSpeed(250)
	finish(t, c, Action{Kind: JogAbout, Axis: 1, Frame: InTool, By: kin.Rad(13)})
	finish(t, c, Action{Kind: JogAlong, Axis: 1, Frame: InBase, By: 33})
	want := c.Read().TCP
	p := c.RecordAxes("here")
	var f kin.Frames
	c.cell.Arm.Chain.Forward(&p.Axes, &f)
	got := f[6].Mul(&c.tool.TCP)
	if d := got.T.Sub(want.T).Norm(); d > 0.05 || !p.ByAxes || p.Name != "here" {
		t.Errorf("by axes %g mm off: %+v", d, p)
	}
	for _, frame := range []string{InBase, "stand", "turned"} {
		p, err := c.RecordPlace("here", frame)
		if err != nil {
			t.Fatal(err)
		}
		at := c.frame(frame)
		got := at.Mul(&p.Place)
		if d := got.T.Sub(want.T).Norm(); d > 0.01 {
			t.Errorf("in %s %g mm off", frame, d)
		}
		if d := got.R.X.Sub(want.R.X).Norm(); d > 1e-4 {
			t.Errorf("in %s turned by %g rad", frame, d)
		}
		if p.Config == nil || p.Config.Words() != [3]string{"front", "up", "plain"} || p.Frame.Name != frame {
			t.Errorf("in %s: %+v", frame, p)
		}
	}
	for _, frame := range []string{InTool, "nowhere"} {
		if _, err := c.RecordPlace("here", frame); err == nil || !strings.Contains(err.Error(), "frame") {
			t.Errorf("recorded in %s: %v", frame, err)
		}
	}
}

func TestReading(t *testing.T) {
	c := bench(t)
	r := c.Read()
	almost(t, "axis 1 to its limit", kin.Deg(r.Room[0]), 170, 1e-9)
	almost(t, "axis 3 to its upper limit", kin.Deg(r.Room[2]), 75-12.06, 1e-9)
	if !r.Upper[2] || r.Upper[1] != (130-23.25 < 23.25+95) {
		t.Errorf("upper limits %v", r.Upper)
	}
	almost(t, "axis 5 to the wrist alignment", kin.Deg(r.Alignments.Wrist), 54.69, 1e-9)
	if !r.Gap.Known || r.Gap.A != "tool cup" || r.Gap.B != "table" || !r.Own.Known {
		t.Errorf("gap %+v, own %+v", r.Gap, r.Own)
	}
	almost(t, "gap between its points", r.Gap.PA.Sub(r.Gap.PB).Norm(), r.Gap.MM, 1e-9)
	at := c.In("stand")
	almost(t, "height over the stand", at.T.Z, r.TCP.T.Z-200, 1e-9)
	if c.In(InTool) != c.In(InBase) {
		t.Error("the place of the tool in its own frame says nothing; base does")
	}
}
