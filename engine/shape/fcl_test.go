//go:build fcl

package shape

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"posework/kin"
)

// TestAgainstFCL compares every pair of solids with FCL. It needs a C++ compiler
// and the Debian packages libfcl-dev and pkg-config:
//
//	go test -tags fcl ./engine/shape
//
// In overlap FCL's polyhedron ends within 1e-6 mm. Apart, its search with round
// solids ends on short steps, not on the result, and its two points can be some
// 5e-3 mm farther apart than the nearest ones; that this package's distance is
// the least one is what checkContact shows, from the support functions alone.
func TestAgainstFCL(t *testing.T) {
	const each = 2000
	const overlapTol, above, below = 2e-6, 1e-2, 1e-6 // mm

	program := filepath.Join(t.TempDir(), "pairs")
	flags, err := exec.Command("pkg-config", "--cflags", "--libs", "fcl", "eigen3").Output()
	if err != nil {
		t.Fatalf("pkg-config: %v", err)
	}
	args := append([]string{"-O2", "-o", program, filepath.Join("testdata", "fcl", "pairs.cpp")}, strings.Fields(string(flags))...)
	if out, err := exec.Command("g++", append(args, "-lccd")...).CombinedOutput(); err != nil {
		t.Fatalf("g++: %v\n%s", err, out)
	}
	for i, ka := range kinds[:4] {
		for _, kb := range kinds[i:4] {
			t.Run(names[ka]+"/"+names[kb], func(t *testing.T) {
				r := rand.New(rand.NewPCG(uint64(ka), uint64(kb)))
				var in bytes.Buffer
				var a, b []Shape
				for range each {
					a, b = append(a, draw(r, ka)), append(b, draw(r, kb))
					fmt.Fprintln(&in, forFCL(&a[len(a)-1]), forFCL(&b[len(b)-1]))
				}
				cmd := exec.Command(program)
				cmd.Stdin = &in
				out, err := cmd.Output()
				if err != nil {
					t.Fatalf("pairs: %v", err)
				}
				lines := bufio.NewScanner(bytes.NewReader(out))
				gaveUp, apart, overlap := 0, 0.0, 0.0
				for k := range a {
					if !lines.Scan() {
						t.Fatalf("pairs answered only %d of %d", k, each)
					}
					var c Contact
					Between(&a[k], &b[k], &c)
					checkContact(t, &a[k], &b[k], &c)
					var d float64
					if _, err := fmt.Sscan(lines.Text(), &d); err != nil {
						gaveUp++
						continue
					}
					diff := d - c.Distance
					bad := false
					if c.Distance > 0 {
						apart = math.Max(apart, math.Abs(diff))
						bad = diff > above || diff < -below
					} else {
						overlap = math.Max(overlap, math.Abs(diff))
						bad = math.Abs(diff) > overlapTol
					}
					if bad {
						t.Errorf("distance %.9g, FCL %.9g\na %+v\nb %+v", c.Distance, d, a[k], b[k])
					}
				}
				t.Logf("greatest difference %.2g mm apart, %.2g mm in overlap; FCL gave up on %d of %d", apart, overlap, gaveUp, each)
				if gaveUp > each/10 {
					t.Errorf("FCL gave up on %d of %d", gaveUp, each)
				}
			})
		}
	}
}

// forFCL writes a shape for pairs.cpp: FCL keeps solids centred, along z.
func forFCL(s *Shape) string {
	rot, p, full := s.Rot, s.P, s.Half.Scale(2)
	if s.Kind == Capsule {
		d := s.Q.Sub(s.P)
		rot.Z = d.Unit()
		rot.X = across(rot.Z)
		rot.Y = rot.Z.Cross(rot.X)
		p, full.Z = s.P.AddScaled(0.5, d), d.Norm()
	}
	m := rot.Inv() // its columns are the rows of rot
	f := func(v kin.Vec) string { return fmt.Sprintf("%.17g %.17g %.17g", v.X, v.Y, v.Z) }
	return fmt.Sprintf("%d %.17g %s %s %s %s %s", s.Kind, s.R, f(full), f(m.X), f(m.Y), f(m.Z), f(p))
}
