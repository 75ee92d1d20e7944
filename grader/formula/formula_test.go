package formula

import (
	"math"
	"strings"
	"testing"
)

// The worked examples. Unless its source says more, a case was calculated anew
// apart from this code, by the textbook formula.
func TestWorkedExamples(t *testing.T) {
	const tol = 1e-3 // of the printed examples: mm, s, N, deg as they come
	tests := []struct {
		formula string
		in      []float64
		want    float64
		source  string
	}{
		{"stopping-distance", []float64{250, 0.1, 2000}, 40.625, "textbook kinematics"},
		{"stopping-distance", []float64{1000, 0.1, 2000}, 350, "textbook kinematics"},
		{"stopping-distance", []float64{1500, 0.1, 2000}, 712.5, "textbook kinematics"},
		{"stopping-distance", []float64{0, 0.1, 2000}, 0, "at rest"},
		{"speed-for-axis", []float64{250, 251.012, 100}, 99.5968, "axis 4 of the training arm 5 deg from the wrist alignment"},
		{"reduced-share", []float64{800, 250}, 31.25, "proportion"},
		{"reduced-share", []float64{200, 250}, 100, "never above the program"},
		{"singular-factor", []float64{90}, 1, "far from alignment"},
		{"singular-factor", []float64{30}, 2, "sine of 30 degrees"},
		{"singular-factor", []float64{5}, 11.474, "recalculated table"},
		{"singular-factor", []float64{1}, 57.299, "recalculated table"},

		{"curtain-distance", []float64{14, 0.165}, 330, "ISO 13855:2010, 6.2.3"},
		{"curtain-distance", []float64{14, 0.320}, 512, "published in a sensor maker's instructions applying EN ISO 13855"},
		{"curtain-distance", []float64{14, 0.040}, 100, "ISO 13855:2010: floor of 100 mm"},
		{"curtain-distance", []float64{30, 0.18}, 488, "ISO 13855:2010, 6.2.3"},
		{"curtain-distance", []float64{30, 0.25}, 528, "ISO 13855:2010, 6.2.3"},
		{"curtain-distance", []float64{30, 0.22}, 500, "ISO 13855:2010, 6.2.3: never below 500 mm once above it"},
		{"curtain-distance", []float64{40, 0.30}, 688, "ISO 13855:2010, 6.2.3"},
		{"curtain-distance", []float64{50, 0.35}, 1410, "ISO 13855:2010, 6.2.3.2"},
		{"two-hand-distance", []float64{0.20}, 570, "ISO 13855:2010, clause 8"},
		{"two-hand-distance-covered", []float64{0.20}, 320, "ISO 13855:2010, clause 8"},
		{"two-hand-distance-covered", []float64{0.01}, 100, "ISO 13855:2010, clause 8: floor of 100 mm"},
		{"scanner-distance", []float64{0, 0.50}, 2000, "ISO 13855:2010, 6.3"},
		{"scanner-distance", []float64{200, 0.42}, 1792, "ISO 13855:2010, 6.3"},
		{"scanner-distance", []float64{300, 0.50}, 1880, "ISO 13855:2010, 6.3"},
		{"scanner-distance", []float64{875, 0.50}, 1650, "ISO 13855:2010, 6.3: addition not below 850 mm"},
		{"scanner-distance-2024", []float64{0.50, 0}, 2000, "ISO 13855:2024, clause 9"},
		{"scanner-distance-2024", []float64{0.42, 0}, 1872, "ISO 13855:2024, clause 9"},
		{"scanner-distance-2024", []float64{0.42, 100}, 1972, "ISO 13855:2024, clause 9, with a supplement"},
		{"scanner-height", []float64{70}, 300, "ISO 13855:2010, 6.3"},
		{"scanner-height", []float64{30}, 0, "ISO 13855:2010, 6.3: fine resolution may lie on the floor"},
		{"scanner-resolution", []float64{0}, 50, "ISO 13855:2010, 6.3"},
		{"scanner-resolution", []float64{200}, 63.3333, "ISO 13855:2010, 6.3"},
		{"scanner-resolution", []float64{300}, 70, "ISO 13855:2010, 6.3"},
		{"hand-speed-distance", []float64{0.5}, 31.5, "published in WAC 296-806-45516"},
		{"hand-speed-distance", []float64{0.25}, 15.75, "29 CFR 1910.217"},
		{"separation-distance", []float64{1600, 1000, 0.1, 0.3, 150, 200, 100, 20}, 1210, "ISO/TS 15066:2016, 5.5.4"},
		{"separation-distance", []float64{1600, 250, 0.1, 0.1, 25, 200, 100, 20}, 690, "ISO/TS 15066:2016, 5.5.4"},

		{"move-time", []float64{500, 250, 1000}, 2.25, "Biagiotti and Melchiorri, ch. 3"},
		{"move-time", []float64{40, 250, 1000}, 0.40, "Biagiotti and Melchiorri, ch. 3: triangle"},
		{"move-time", []float64{62.5, 250, 1000}, 0.50, "Biagiotti and Melchiorri, ch. 3: boundary"},
		{"move-time", []float64{800, 1000, 2500}, 1.20, "Biagiotti and Melchiorri, ch. 3"},
		{"move-time", []float64{300, 250, 500}, 1.70, "Biagiotti and Melchiorri, ch. 3"},
		{"move-peak-speed", []float64{40, 250, 1000}, 200, "Biagiotti and Melchiorri, ch. 3: triangle"},
		{"move-peak-speed", []float64{500, 250, 1000}, 250, "Biagiotti and Melchiorri, ch. 3"},
		{"sides-time", []float64{4, 120, 100, 1000}, 5.20, "Biagiotti and Melchiorri, ch. 3"},
		{"cubic-peak-speed", []float64{1, 1}, 1.5, "Lynch and Park, ch. 9"},
		{"cubic-peak-speed", []float64{300, 2}, 225, "Lynch and Park, ch. 9"},
		{"quintic-peak-speed", []float64{1, 1}, 1.875, "Lynch and Park, ch. 9"},
		{"quintic-peak-speed", []float64{300, 2}, 281.25, "Lynch and Park, ch. 9"},
		{"least-ramp", []float64{60, 3}, 26.666667, "Craig, ch. 7 (there in degrees)"},

		{"corner-miss", []float64{30, 1}, 0.129410, "geometry, recalculated table"},
		{"corner-miss", []float64{90, 20}, 7.071, "geometry, recalculated table"},
		{"corner-miss", []float64{120, 1}, 0.433013, "geometry, recalculated table"},
		{"corner-room", []float64{90, 2}, 5.656854, "inverse of corner-miss"},
		{"corner-miss-arc", []float64{60, 1}, 0.267949, "geometry, recalculated table"},
		{"corner-miss-arc", []float64{90, 20}, 8.284, "geometry, recalculated table"},

		{"frame-error", []float64{1, 100, 600}, 6, "similar triangles"},
		{"frame-error", []float64{1, 300, 600}, 2, "similar triangles"},
		{"frame-turn", []float64{1, 100}, 0.572939, "similar triangles"},
		{"frame-turn", []float64{1, 300}, 0.190985, "similar triangles"},
		{"tip-height", []float64{260, 50, 30}, 340, "sum"},

		{"pose-accuracy", []float64{0.120, -0.045, 0.075}, 0.148492, "ISO 9283, AP"},
		{"pose-repeatability", []float64{0.02, 0.04, 0.03, 0.05, 0.06}, 0.087434, "ISO 9283, RP, with n - 1"},

		{"payload-mass", []float64{1.4, 0.6}, 2.0, "statics"},
		{"payload-centre", []float64{1.4, 10, 0.6, 0}, 7.0, "statics"},
		{"payload-centre", []float64{1.4, 0, 0.6, 25}, 7.5, "statics"},
		{"payload-centre", []float64{1.4, 55, 0.6, 140}, 80.5, "statics"},
		{"payload-centre", []float64{1.2, 60, 0.85, 150}, 97.317, "statics"},
		{"suction-force", []float64{1, 40, 60}, 75.398, "pressure times area"},
		{"suction-force", []float64{2, 40, 60}, 150.796, "pressure times area"},
		{"grip-lift", []float64{0.85, 5, 2}, 25.177, "vacuum handling, first load case"},
		{"grip-carry", []float64{0.85, 5, 0.5, 2}, 33.677, "vacuum handling, second load case"},
		{"grip-upright", []float64{0.85, 5, 0.5, 2}, 50.354, "vacuum handling, third load case"},

		{"pattern-layer", []float64{13, 4, 3}, 1, "counting"},
		{"pattern-row", []float64{7, 4, 3}, 1, "counting"},
		{"pattern-column", []float64{7, 4, 3}, 2, "counting"},
		{"pattern-x", []float64{4, 4, 3, 95}, 285, "counting"},
		{"pattern-x", []float64{5, 4, 3, 95}, 0, "counting"},
		{"pattern-y", []float64{5, 4, 3, 70}, 70, "counting"},
		{"pattern-y", []float64{24, 4, 3, 70}, 140, "counting"},
		{"pattern-z", []float64{12, 4, 3, 32}, 0, "counting"},
		{"pattern-z", []float64{24, 4, 3, 32}, 32, "counting"},
	}
	seen := map[string]bool{}
	for _, test := range tests {
		f, ok := Find(test.formula)
		if !ok {
			t.Errorf("Find(%q): no such formula", test.formula)
			continue
		}
		seen[test.formula] = true
		got, err := f.Value(test.in...)
		if err != nil || !(math.Abs(got-test.want) <= tol) {
			t.Errorf("%s%v = %v, %v, want %v (%s)", test.formula, test.in, got, err, test.want, test.source)
		}
	}
	for _, f := range All() {
		if !seen[f.Name] {
			t.Errorf("formula %s has no worked example", f.Name)
		}
	}
}

// ISO 9283 asks for thirty cycles; ten, made up, show the arithmetic.
func TestAccuracyAndRepeatability(t *testing.T) {
	commanded := [3]float64{500, 200, 300}
	attained := [][3]float64{
		{500.12, 199.95, 300.08}, {500.10, 199.98, 300.05}, {500.15, 199.93, 300.10}, {500.08, 199.96, 300.06},
		{500.13, 199.99, 300.09}, {500.11, 199.94, 300.11}, {500.14, 199.97, 300.04}, {500.09, 199.92, 300.07},
		{500.12, 199.96, 300.12}, {500.16, 199.95, 300.03},
	}
	const tol = 1e-6
	if got := Accuracy(commanded, attained); !(math.Abs(got-0.148492) <= tol) {
		t.Errorf("Accuracy = %.6f, want 0.148492", got)
	}
	if got := Repeatability(attained); !(math.Abs(got-0.081307) <= tol) {
		t.Errorf("Repeatability = %.6f, want 0.081307", got)
	}
	// 3, 4 and 12 mm beside the commanded place.
	if got := Accuracy(commanded, [][3]float64{{503, 204, 312}}); !(math.Abs(got-13) <= tol) {
		t.Errorf("Accuracy = %.6f, want 13", got)
	}
	if got := Repeatability([][3]float64{{499, 200, 300}, {501, 200, 300}}); !(math.Abs(got-1) <= tol) {
		t.Errorf("Repeatability of two cycles 2 mm apart = %.6f, want 1: they do not differ in their distance from the mean", got)
	}
	if got := Accuracy(commanded, nil); !math.IsNaN(got) {
		t.Errorf("Accuracy of nothing = %v, want NaN", got)
	}
	if got := Repeatability(attained[:1]); !math.IsNaN(got) {
		t.Errorf("Repeatability of one cycle = %v, want NaN", got)
	}
}

func TestValueRefuses(t *testing.T) {
	tests := []struct {
		formula string
		in      []float64
		want    string
	}{
		{"curtain-distance", []float64{71, 0.2}, "resolution is 71 mm, but the formula holds from 0 to 70 mm"},
		{"curtain-distance", []float64{30, math.NaN()}, "time is NaN s"},
		{"curtain-distance", []float64{30, math.Inf(1)}, "time is +Inf s"},
		{"curtain-distance", []float64{30}, "takes 2 inputs, not 1"},
		{"pattern-row", []float64{1.5, 4, 3}, "part is 1.5, but it is a count"},
		{"singular-factor", []float64{0}, "angle is 0 deg"},
	}
	for _, test := range tests {
		f, _ := Find(test.formula)
		_, err := f.Value(test.in...)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s%v: error %v, want %q", test.formula, test.in, err, test.want)
		}
	}
	if _, ok := Find("no-such"); ok {
		t.Error("Find(no-such) found one")
	}
}

// Every formula gives a number at both ends of every input's bounds.
func TestBounds(t *testing.T) {
	for _, f := range All() {
		if f.Title == "" || f.Form == "" || f.Source == "" || len(f.Inputs) == 0 {
			t.Errorf("%s lacks a title, form, source or inputs", f.Name)
		}
		for corner := range 1 << len(f.Inputs) {
			in := make([]float64, len(f.Inputs))
			for i := range in {
				in[i] = f.Inputs[i].Min
				if corner>>i&1 == 1 {
					in[i] = f.Inputs[i].Max
				}
			}
			if v, err := f.Value(in...); err != nil {
				t.Errorf("%s%v = %v, %v", f.Name, in, v, err)
			}
		}
	}
}
