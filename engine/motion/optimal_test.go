package motion

import (
	"fmt"
	"testing"

	"posework/kin"
)

// sideways is a fast line past a wrist alignment: axes 1, 4 and 6 limit it in
// speed and acceleration, at different places.
func sideways(t testing.TB, q5 float64) (*stretch, *Piece) {
	t.Helper()
	c := soapCell(t)
	c.Parts, c.Events = nil, nil
	mid := kin.Joints{0, kin.Rad(20), kin.Rad(-10), 0, kin.Rad(q5), 0}
	var f kin.Frames
	c.Arm.Chain.Forward(&mid, &f)
	tcp := f[6].Mul(&c.Tools[0].TCP)
	roll, pitch, yaw := tcp.R.RPY()
	pose := func(y float64) string {
		return fmt.Sprintf("{xyz: [%.9f, %g, %.9f], rpy: [%.9f, %.9f, %.9f]}", tcp.T.X, y, tcp.T.Z,
			kin.Deg(float64(roll)), kin.Deg(float64(pitch)), kin.Deg(float64(yaw)))
	}
	tr := mustPlan(t, c, "tool: cup\nposes:\n  a: "+pose(-80)+"\n  b: "+pose(80)+
		"\nsteps:\n- {to: a, path: joint, speed: 50 %, end: stop}\n- {to: b, path: line, speed: 2000 mm/s, end: stop}\n", Options{})
	p := &tr.Pieces[len(tr.Pieces)-1]
	if tr.Halt != nil || p.Kind != LineMove {
		t.Fatalf("no line: halt %+v", tr.Halt)
	}
	return &stretch{kind: LineMove, path: p.Path, s1: p.Path.Length(), scale: 1, share: 1, mms: 2000, tool: 2500}, p
}

// duration solves the time law on a grid of some fineness.
func duration(t testing.TB, st *stretch, fine fineness) (seconds float64, spans int) {
	t.Helper()
	g := newGrid(model(t, "hazel"), &effort{maxEffort})
	g.fine = fine
	g.add(0, st)
	laws := newProfile(g.spans, g.wins).laws(g, []stretch{*st})
	return laws[0].Length, len(g.spans)
}

// The law is within a hundredth of the best possible: that of a grid so fine
// that what it gives away by being one is a hundred times less.
func TestWithinOnePercentOfTheBest(t *testing.T) {
	for _, q5 := range []float64{40, 20, 10} {
		st, p := sideways(t, q5)
		best, n := duration(t, st, fineness{spans: 8192, bow: 1e-5, speed: 1e-4, accel: 1e-4})
		if n < 4000 {
			t.Fatalf("the fine grid has %d spans only", n)
		}
		if ratio := p.Law.Length / best; !(ratio < 1.01) || ratio < 1-1e-6 {
			t.Errorf("axis 5 at %g deg: %.6g s, at best %.6g (%.4f times)", q5, p.Law.Length, best, ratio)
		}
	}
}

// BenchmarkTimeLaw solves the two passes on about a thousand grid points of a
// six-axis path; ns/1000 is the time for exactly so many. The second also lays
// the grid, which evaluates and bounds the path at each point.
func BenchmarkTimeLaw(b *testing.B) {
	st, _ := sideways(b, 20)
	fine := usual()
	fine.spans = 1024
	b.Run("passes", func(b *testing.B) {
		g := newGrid(model(b, "hazel"), &effort{maxEffort})
		g.fine = fine
		g.add(0, st)
		b.ReportAllocs()
		for b.Loop() {
			newProfile(g.spans, g.wins)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)*1000/float64(len(g.spans)), "ns/1000")
	})
	b.Run("grid-and-passes", func(b *testing.B) {
		n := 0
		b.ReportAllocs()
		for b.Loop() {
			_, n = duration(b, st, fine)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)*1000/float64(n), "ns/1000")
	})
}
