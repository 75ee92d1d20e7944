package shape

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"posework/kin"
)

// tolMM is what the checks against outside figures allow: distances of shapes
// hundreds of mm in size and apart, worked out with about 1e-13 mm of rounding.
const tolMM = 1e-9

type refCase struct {
	I      int
	Tag    string
	A, B   json.RawMessage
	Signed float64     `json:"signed_mm"`
	PA     *[3]float64 `json:"pA"`
	PB     *[3]float64 `json:"pB"`
}

func vec(a [3]float64) kin.Vec { return kin.Vec{X: a[0], Y: a[1], Z: a[2]} }

func readShape(t *testing.T, raw json.RawMessage) Shape {
	t.Helper()
	// The keys r and R differ only in case, which encoding/json ignores: read
	// them from a map.
	var m map[string]json.RawMessage
	get := func(key string, to any) {
		if err := json.Unmarshal(m[key], to); err != nil {
			t.Fatalf("key %q: %v", key, err)
		}
	}
	if err := json.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	var kind string
	get("type", &kind)
	if kind == "capsule" {
		var p, q [3]float64
		s := Shape{Kind: Capsule}
		get("p0", &p)
		get("p1", &q)
		get("r", &s.R)
		s.P, s.Q = vec(p), vec(q)
		return s
	}
	var c, half [3]float64
	var r [3][3]float64
	get("c", &c)
	get("half", &half)
	get("R", &r)
	return Shape{Kind: Box, P: vec(c), Half: vec(half), Rot: kin.Rot{
		X: kin.Vec{X: r[0][0], Y: r[1][0], Z: r[2][0]},
		Y: kin.Vec{X: r[0][1], Y: r[1][1], Z: r[2][1]},
		Z: kin.Vec{X: r[0][2], Y: r[1][2], Z: r[2][2]},
	}}
}

func readCases(t *testing.T, name string) []refCase {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	var f struct{ Cases []refCase }
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	if len(f.Cases) == 0 {
		t.Fatal("no cases")
	}
	return f.Cases
}

// TestReference compares with distances from outside: see testdata/README.md.
func TestReference(t *testing.T) {
	for _, name := range []string{"clear_capsule_capsule.json", "clear_capsule_box.json", "clear_box_box.json"} {
		worst, worstPoint := 0.0, 0.0
		for _, rc := range readCases(t, name) {
			a, b := readShape(t, rc.A), readShape(t, rc.B)
			var c Contact
			Between(&a, &b, &c)
			worst = math.Max(worst, math.Abs(c.Distance-rc.Signed))
			if !(math.Abs(c.Distance-rc.Signed) <= tolMM) {
				t.Errorf("%s %d (%s): distance %.12g, want %.12g", name, rc.I, rc.Tag, c.Distance, rc.Signed)
			}
			checkContact(t, &a, &b, &c)
			if rc.PA != nil && rc.Tag != "aligned" {
				d := math.Max(c.A.Sub(vec(*rc.PA)).Norm(), c.B.Sub(vec(*rc.PB)).Norm())
				worstPoint = math.Max(worstPoint, d)
				if d > 1e-6 {
					t.Errorf("%s %d (%s): closest points %.3g mm away from the reference's", name, rc.I, rc.Tag, d)
				}
			}
		}
		t.Logf("%s: greatest difference %.2g mm, of a closest point %.2g mm", name, worst, worstPoint)
	}
}
