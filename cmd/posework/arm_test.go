package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"posework/kin"
	"posework/kin/arm"
)

// The course's arm at five configurations, calculated apart from this program
// (standard Denavit-Hartenberg, Python): axes in deg, flange in mm.
func TestForwardAgainstWorkedExample(t *testing.T) {
	const tol = 1e-5 // of the printed figures
	m, _ := arm.Builtin("hazel")
	for _, test := range []struct {
		axes, xyz []float64
		z         [3]float64 // third column of the rotation
	}{
		{[]float64{0, 0, 0, 0, 0, 0}, []float64{585, 0, 900}, [3]float64{1, 0, 0}},
		{[]float64{0, 0, 0, 0, 90, 0}, []float64{480, 0, 795}, [3]float64{0, 0, -1}},
		{[]float64{30, 20, -10, 15, 60, -45}, []float64{567.503050, 354.824038, 700.384372}, [3]float64{0.188564, 0.367686, -0.910632}},
		{[]float64{-20, 35, 5, 0, 50, 0}, []float64{614.984260, -223.835965, 423.773205}, [3]float64{0, 0, -1}},
		{[]float64{0, 0, 0, 0, 5, 0}, []float64{584.600443, 0, 890.848647}, [3]float64{0.996195, 0, -0.087156}},
	} {
		q := toAxes(m, test.axes)
		a := forward(m, &q)
		for i := range 3 {
			if !(math.Abs(a.XYZ[i]-test.xyz[i]) <= tol) || !(math.Abs(a.Matrix[i][2]-test.z[i]) <= tol) || a.Matrix[i][3] != a.XYZ[i] {
				t.Errorf("forward(%v) = %v, %v, want %v and third column %v", test.axes, a.XYZ, a.Matrix, test.xyz, test.z)
			}
		}
	}
}

// What forward answers, inverse leads back: the axes are among the solutions,
// and every solution has the same pose.
func TestInverseLeadsBack(t *testing.T) {
	const tol = 1e-6 // deg and mm
	for _, name := range []string{"hazel", "aspen", "rowan"} {
		m, _ := arm.Builtin(name)
		want := []float64{30, 20, -10, 15, 60, -45}
		q := toAxes(m, want)
		a := forward(m, &q)
		in := inverseRequest{XYZ: a.XYZ[:], RPY: a.RPY[:]}
		flange, err := in.pose()
		if err != nil {
			t.Fatal(err)
		}
		got := inverse(m, &flange, &kin.Joints{})
		found := false
		for _, s := range got.Solutions {
			same := true
			for i := range s.Axes {
				same = same && math.Abs(math.Remainder(s.Axes[i]-want[i], 360)) < tol
			}
			found = found || same
			q := toAxes(m, s.Axes[:])
			back := forward(m, &q)
			for i := range 3 {
				if !(math.Abs(back.XYZ[i]-a.XYZ[i]) <= tol) {
					t.Errorf("%s: solution %v stands at %v, want %v", name, s.Axes, back.XYZ, a.XYZ)
				}
			}
		}
		if !found {
			t.Errorf("%s: %v is not among the solutions %+v", name, want, got.Solutions)
		}
		if got.Nearest == nil || !got.Nearest.Within || got.Nearest.Off != 0 {
			t.Errorf("%s: nearest = %+v", name, got.Nearest)
		}
	}
}

// A URDF file serves as well as a built-in arm; where it leaves the flange open,
// --tip tells.
func TestArmFromURDF(t *testing.T) {
	const file = "../../engine/urdf/testdata/oak.urdf"
	m, notes, l, err := readArm(armArg{Arm: file, Tip: "flange"})
	if err != nil || len(l) > 0 || m.Name != "oak" || len(notes) == 0 {
		t.Errorf("with a tip: %+v, %v, %v, %v", m, notes, l, err)
	}
	if m, _, l, _ := readArm(armArg{Arm: file}); m != nil || len(l) != 1 || l[0].Code != "U012" {
		t.Errorf("without a tip: %+v, %v", m, l)
	}
}

func TestShowArm(t *testing.T) {
	m, _ := arm.Builtin("alder")
	var out strings.Builder
	showArm(&out, m)
	for _, want := range []string{"axes 2, 3, 4 parallel", "wrist: axis 5 at -180, 0, 180 deg", "elbow: axis 3 at 0 deg"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("alder is shown without %q:\n%s", want, out.String())
		}
	}
}

// An arm without bodies can't be used in a lesson.
func TestJudgeArm(t *testing.T) {
	m, _ := arm.Builtin("hazel")
	if stops, remarks := judgeArm(m); len(stops)+len(remarks) > 0 {
		t.Errorf("hazel: %v, %v", stops, remarks)
	}
	bare := *m
	bare.Solids, bare.Speed[2], bare.Reach = nil, 0, 0
	if stops, _ := judgeArm(&bare); len(stops) != 3 {
		t.Errorf("without solids, a speed and a reach: %q", stops)
	}
	thin := *m
	thin.Solids = m.Solids[:2]
	if _, remarks := judgeArm(&thin); len(remarks) != 1 || !strings.Contains(remarks[0], "without a solid: link") {
		t.Errorf("with few solids: %q", remarks)
	}
}

// A matrix that was rounded to six decimals is squared up, not refused.
func TestRoundedMatrixIsTaken(t *testing.T) {
	rows := [][]float64{{0.305399, 0.933368, 0.188564, 1}, {0.859335, -0.355458, 0.367686, 2}, {0.410213, 0.049748, -0.910632, 3}, {0, 0, 0, 1}}
	p, err := poseOfMatrix(rows)
	if err != nil {
		t.Fatal(err)
	}
	r := p.R
	for name, v := range map[string]float64{"x.x": r.X.Dot(r.X) - 1, "x.y": r.X.Dot(r.Y), "y.y": r.Y.Dot(r.Y) - 1, "y.z": r.Y.Dot(r.Z), "z.x": r.Z.Dot(r.X)} {
		if !(math.Abs(v) <= 1e-15*4) {
			t.Errorf("%s is off by %g", name, v)
		}
	}
}

// A line that never ends is passed over, and the next one is answered.
func TestLongLineIsPassedOver(t *testing.T) {
	var out strings.Builder
	s := &session{ctx: t.Context(), in: strings.NewReader(strings.Repeat("x", maxLine+1) + "\n{\"axes\":[0,0,0,0,0,0]}\n"), out: &out}
	err := (&armForwardCmd{armArg{Arm: "hazel"}}).Run(s)
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	if err != status(statusNotPassed) || len(lines) != 2 ||
		lines[0] != fmt.Sprintf(`{"error":"the line is longer than %d bytes","line":1}`, maxLine) || !strings.HasPrefix(lines[1], `{"xyz"`) {
		t.Errorf("answered %v, %q", err, lines)
	}
}
