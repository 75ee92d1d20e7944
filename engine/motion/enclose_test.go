package motion

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"posework/kin"
	"posework/kin/arm"
)

// model returns a built-in arm.
func model(t interface{ Fatalf(string, ...any) }, name string) *arm.Model {
	m, ok := arm.Builtin(name)
	if !ok {
		t.Fatalf("no arm %q", name)
	}
	return m
}

// deg turns six angles in degrees into axes.
func deg(a, b, c, d, e, f float64) kin.Joints {
	q := kin.Joints{a, b, c, d, e, f}
	for i := range q {
		q[i] = kin.Rad(q[i])
	}
	return q
}

func tcpAt(lev *levers, q kin.Joints) kin.Pose {
	e := state{q: q}
	lev.place(&e)
	return e.tcp
}

// checkBounds samples p densely and compares with its bounds over windows.
func checkBounds(t *rapid.T, p Path, s0, s1 float64) {
	var b Bound
	if !p.Bound(s0, s1, &b) {
		return
	}
	const n = 40
	w := (s1 - s0) / n
	if w < 1e-6*p.Length() {
		return // difference quotients of so little are rounding
	}
	var e, before, after, last Eval
	const slack = 1 + 1e-9
	for i := 0; i <= n; i++ {
		s := min(s0+float64(i)*w, s1)
		p.At(s, &e)
		for j := range 6 {
			if !(math.Abs(e.DQ[j]) <= b.DQ[j]*slack+1e-12) {
				t.Fatalf("axis %d at %g in [%g, %g]: |dq/ds| %g above its bound %g", j+1, s, s0, s1, e.DQ[j], b.DQ[j])
			}
			if !(math.Abs(e.DDQ[j]) <= b.DDQ[j]*slack+1e-12) {
				t.Fatalf("axis %d at %g in [%g, %g]: |d2q/ds2| %g above its bound %g", j+1, s, s0, s1, e.DDQ[j], b.DDQ[j])
			}
		}
		if !(e.V.Norm() <= b.V*slack+1e-12) {
			t.Fatalf("|dp/ds| %g above its bound %g", e.V.Norm(), b.V)
		}
		if i == 0 {
			before = e
			continue
		}
		after = e
		for j := range 6 {
			// By the mean value theorem no difference quotient beats the bound.
			if d := math.Abs(after.DDQ[j] - before.DDQ[j]); d > b.DDDQ[j]*w*(1+1e-6)+1e-9*math.Abs(e.DDQ[j])+1e-13 {
				t.Fatalf("axis %d at %g: |d3q/ds3| %g above its bound %g", j+1, s, d/w, b.DDDQ[j])
			}
		}
		if d := after.V.Sub(before.V).Norm(); d > b.A*w*(1+1e-6)+1e-12 {
			t.Fatalf("|d2p/ds2| %g above its bound %g", d/w, b.A)
		}
		if d := after.DV.Sub(before.DV).Norm(); d > b.J*w*(1+1e-6)+1e-9*e.DV.Norm()+1e-12 {
			t.Fatalf("|d3p/ds3| %g above its bound %g", d/w, b.J)
		}
		if n := e.W.Norm(); n > b.W*slack+1e-12 {
			t.Fatalf("|w| %g above its bound %g", n, b.W)
		}
		if d := after.W.Sub(before.W).Norm(); d > b.W1*w*(1+1e-6)+1e-12 {
			t.Fatalf("|dw/ds| %g above its bound %g", d/w, b.W1)
		}
		if i > 1 {
			// Two equal windows: the second difference is one of w".
			if d := after.W.Sub(before.W.Scale(2)).Add(last.W).Norm(); s < s1 && d > b.W2*w*w*(1+1e-6)+1e-12 {
				t.Fatalf("|d2w/ds2| %g above its bound %g", d/w/w, b.W2)
			}
		}
		last = before
		before = after
	}
}

func TestLineBounds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.SampledFrom([]string{"hazel", "aspen", "rowan", "alder"}).Draw(rt, "arm")
		m := model(t, name)
		tool := kin.Pose{R: kin.Identity, T: kin.Vec{X: rapid.Float64Range(-50, 50).Draw(rt, "tx"), Z: 180}}
		lev := newLevers(m, tool)
		var q kin.Joints
		for i := range q {
			q[i] = rapid.Float64Range(m.Limits[i].Min*0.8, m.Limits[i].Max*0.8).Draw(rt, "q")
		}
		from := tcpAt(lev, q)
		to := from
		to.T = to.T.Add(kin.Vec{
			X: rapid.Float64Range(-300, 300).Draw(rt, "x"),
			Y: rapid.Float64Range(-300, 300).Draw(rt, "y"),
			Z: rapid.Float64Range(-300, 300).Draw(rt, "z"),
		})
		r := kin.FromRPY(rapid.Float64Range(-1, 1).Draw(rt, "roll"), rapid.Float64Range(-1, 1).Draw(rt, "pitch"), 0)
		to.R = r.Mul(&from.R)
		p, _ := newCartesian(newStraight(&from, &to), lev, m, &q, &effort{maxEffort})
		if p.end == 0 {
			return
		}
		a := rapid.Float64Range(0, p.end).Draw(rt, "a")
		b := rapid.Float64Range(0, p.end).Draw(rt, "b")
		checkBounds(rt, p, min(a, b), max(a, b))
		checkBounds(rt, p, min(a, b), min(a, b)+(max(a, b)-min(a, b))/50)
	})
}

func BenchmarkLineAt(b *testing.B) {
	m := model(b, "hazel")
	lev := newLevers(m, kin.Pose{R: kin.Identity, T: kin.Vec{Z: 180}})
	q := deg(0, 29.82, 14.41, 0, 45.77, 0)
	from := tcpAt(lev, q)
	to := from
	to.T.Y += 200
	b.Run("new", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			newCartesian(newStraight(&from, &to), lev, m, &q, &effort{maxEffort})
		}
	})
	p, _ := newCartesian(newStraight(&from, &to), lev, m, &q, &effort{maxEffort})
	b.Run("at", func(b *testing.B) {
		b.ReportAllocs()
		var e Eval
		for b.Loop() {
			p.At(33.3, &e)
		}
	})
	b.Run("bound", func(b *testing.B) {
		b.ReportAllocs()
		var e Bound
		for b.Loop() {
			p.Bound(33.3, 33.8, &e)
		}
	})
}
