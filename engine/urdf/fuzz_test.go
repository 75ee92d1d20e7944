package urdf

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"posework/engine/diag"
	"posework/engine/source"
	"posework/kin"
)

// FuzzRead: any text is read or refused with a message, every message points into
// the text, and an arm that was read has finite forward kinematics.
func FuzzRead(f *testing.F) {
	oak, err := os.ReadFile("testdata/oak.urdf")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(oak, "flange")
	f.Add([]byte(six()), "")
	f.Add([]byte(six(`<axis xyz="0 0 1"/>`, `<axis xyz="0 1 1e-6"/>`)), "l6")
	f.Add([]byte("<!DOCTYPE x [<!ENTITY a \"b\">]><robot name=\"&a;\"/>"), "")
	f.Fuzz(func(t *testing.T, data []byte, tip string) {
		a, l := Read("f", data, Options{Tip: tip})
		if (a == nil) != (len(l) > 0) {
			t.Fatalf("arm %v with reports %v", a, l)
		}
		checkReports(t, data, l)
		if a == nil {
			return
		}
		checkReports(t, data, a.Notes)
		var frames kin.Frames
		a.Model.Chain.Forward(&kin.Joints{1, 2, 3, -1, -2, -3}, &frames)
		for _, s := range a.Model.Solids {
			if v := frames[s.Link].Apply(s.From.Add(s.Place.T)); !v.Finite() {
				t.Fatalf("a solid is at %v", v)
			}
		}
		if !frames[6].T.Finite() || !(a.Model.Reach > 0) || len(a.Model.Solids) == 0 {
			t.Fatalf("flange at %v, reach %v, %d solids", frames[6].T, a.Model.Reach, len(a.Model.Solids))
		}
	})
}

func checkReports(t *testing.T, data []byte, l diag.List) {
	t.Helper()
	lines := bytes.Count(data, []byte("\n")) + 1
	for _, d := range l {
		if d.Pos.Line < 1 || d.Pos.Line > lines || d.Pos.Column < 1 || d.Pos.Column > len(data)+1 {
			t.Fatalf("%v points outside the text of %d lines", d, lines)
		}
		if d.Code == "" || d.Text == "" || strings.IndexFunc(d.Text+d.Fix, func(r rune) bool { return source.Hidden(r) || r == '\n' }) >= 0 {
			t.Fatalf("%q is no fit message", d)
		}
	}
}
