//go:build pykdl

package kin

import (
	"bufio"
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"
)

// What testdata/kdl.py is asked and answers.
type kdlAsk struct {
	Rows   [6][5]float64 `json:"rows"`
	Q      Joints        `json:"q"`
	Starts []Joints      `json:"starts"`
}

type kdlAnswer struct {
	Frames   [6][12]float64 `json:"frames"`
	Jacobian [6][6]float64  `json:"jacobian"`
	Inverse  []Joints       `json:"inverse"`
}

// Forward kinematics, Jacobian and inverse against Orocos KDL (the Debian package
// python3-pykdl) on fresh random arms and configurations:
//
//	go test -tags pykdl -run KDL ./kin/
//
// KDL_SEED repeats a run, PYTHON names an interpreter that has PyKDL.
func TestAgainstKDL(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	if s := os.Getenv("KDL_SEED"); s != "" {
		var err error
		if seed, err = strconv.ParseUint(s, 10, 64); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("repeat with KDL_SEED=%d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))

	const cases = 2000
	var chains []*Chain
	var asks []kdlAsk
	var in bytes.Buffer
	enc := json.NewEncoder(&in)
	for n := range cases {
		var c *Chain
		var ask kdlAsk
		if n%4 == 0 {
			c = randomMixed(rng)
		} else {
			c = randomChain(rng, closedFamilies[rng.IntN(len(closedFamilies))])
			for range 10 {
				ask.Starts = append(ask.Starts, randomJoints(rng))
			}
		}
		ask.Q = randomJoints(rng)
		for i, r := range c.Rows() {
			ask.Rows[i] = [5]float64{r.A, r.Alpha, r.D, r.Offset, 0}
			if r.Prismatic {
				ask.Rows[i][4] = 1
				ask.Q[i] *= 100
			}
		}
		chains, asks = append(chains, c), append(asks, ask)
		if err := enc.Encode(ask); err != nil {
			t.Fatal(err)
		}
	}
	lines := bufio.NewScanner(bytes.NewReader(runKDL(t, &in)))
	lines.Buffer(nil, 1<<20)
	compared := 0
	for n := range cases {
		var a kdlAnswer
		if !lines.Scan() {
			t.Fatalf("KDL stopped after %d cases: %v", n, lines.Err())
		}
		if err := json.Unmarshal(lines.Bytes(), &a); err != nil {
			t.Fatal(err)
		}
		compared += compareKDL(t, chains[n], &asks[n], &a)
	}
	t.Logf("%d cases, %d inverse solutions of KDL compared", cases, compared)
	if compared < cases {
		t.Errorf("KDL found only %d inverse solutions", compared)
	}
}

func runKDL(t *testing.T, in *bytes.Buffer) []byte {
	t.Helper()
	// Debian installs the binding for its own interpreter, which need not be the
	// first on the path.
	for _, python := range []string{os.Getenv("PYTHON"), "python3", "/usr/bin/python3"} {
		if python == "" || exec.Command(python, "-c", "import PyKDL").Run() != nil {
			continue
		}
		cmd := exec.Command(python, "testdata/kdl.py")
		cmd.Stdin = in
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%s: %v", python, err)
		}
		return out
	}
	t.Fatal("no Python with PyKDL: install the Debian package python3-pykdl")
	return nil
}

// compareKDL returns how many inverse solutions it could compare.
func compareKDL(t *testing.T, c *Chain, ask *kdlAsk, a *kdlAnswer) (compared int) {
	t.Helper()
	var f Frames
	var j Jacobian
	c.Forward(&ask.Q, &f)
	c.JacobianAt(&f, f[6].T, &j)
	for i, x := range a.Frames {
		want := Pose{rotFromRows([3][3]float64{{x[0], x[1], x[2]}, {x[3], x[4], x[5]}, {x[6], x[7], x[8]}}), Vec{x[9], x[10], x[11]}}
		if mm, rot := poseDiff(&f[i+1], &want); !(mm <= tolMM && rot <= tolRot) {
			t.Errorf("%v at %v: frame %d off by %g mm, rotation by %g", c.Rows(), ask.Q, i+1, mm, rot)
		}
	}
	for r := range 6 {
		tol := tolMM
		if r > 2 {
			tol = tolRot
		}
		for i := range 6 {
			if !(math.Abs(j[r][i]-a.Jacobian[r][i]) <= tol) {
				t.Errorf("%v at %v: J[%d][%d] = %.17g, want %.17g", c.Rows(), ask.Q, r, i, j[r][i], a.Jacobian[r][i])
			}
		}
	}
	var s Solutions
	if len(ask.Starts) > 0 {
		c.Inverse().Solve(&f[6], &Joints{}, &s)
	}
	for i := range a.Inverse {
		// Its solver takes rotations under 1e-6 rad for none.
		q := a.Inverse[i]
		sigma := smallest(c, &q)
		if sigma < 1e-3 {
			continue
		}
		compared++
		if d := nearestSolution(&s, &q); !(d*sigma <= 1e-5) {
			t.Errorf("%v %v at %v: KDL's solution %v missed by %g rad", c.Inverse().Family(), c.Rows(), ask.Q, q, d)
		}
	}
	return compared
}
