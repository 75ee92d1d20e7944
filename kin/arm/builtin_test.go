package arm

import (
	"math"
	"testing"

	"posework/kin"
)

// homes are poses of rest: upper arm near upright, forearm falling, flange down.
var homes = map[string]kin.Joints{
	"hazel": {0, kin.Rad(-3.74), kin.Rad(29.48), 0, kin.Rad(64.26), 0},
	"aspen": {0, kin.Rad(-3.74), kin.Rad(29.48), 0, kin.Rad(64.26), 0},
	"rowan": {0, kin.Rad(3.74), kin.Rad(-29.48), 0, kin.Rad(-64.26), 0},
	"alder": {0, kin.Rad(110), kin.Rad(-110), kin.Rad(-90), kin.Rad(-90), 0},
}

// soapCell are the axes of the soap cell's places for hazel (EXAMPLES E11; made
// with textbook formulas): q1, q2, q3, q5 in deg, q4 = q6 = 0.
var soapCell = [][4]float64{
	{-38.93, 44.08, 4.17, 41.75}, {-38.93, 36.00, 2.29, 51.71}, {0, 29.82, 14.41, 45.77},
	{-6.34, 24.27, 23.42, 42.30}, {5.19, 36.13, 3.64, 50.23}, {-18.43, 26.21, 4.47, 59.32},
	{28.71, 36.54, 34.56, 18.90}, {28.71, 23.62, 34.39, 31.99}, {48.53, 39.20, 20.26, 30.54},
	{32.89, 59.08, -21.24, 52.16}, {40.60, 71.00, -45.61, 64.62}, {40.60, 68.81, -45.63, 66.82},
	{40.60, 63.53, -48.71, 75.18}, {0, -3.74, 29.48, 64.26},
}

// segments returns the least distance between the segments a0-a1 and b0-b1: by
// nested golden search on a convex function, slow and independent of the engine.
func segments(a0, a1, b0, b1 kin.Vec) float64 {
	toB := func(p kin.Vec) float64 {
		d := b1.Sub(b0)
		t := 0.0
		if n := d.Norm2(); n > 0 {
			t = math.Min(1, math.Max(0, p.Sub(b0).Dot(d)/n))
		}
		return p.Sub(b0.AddScaled(t, d)).Norm()
	}
	lo, hi := 0.0, 1.0
	d := a1.Sub(a0)
	for range 60 {
		u, v := lo+(hi-lo)/3, hi-(hi-lo)/3
		if toB(a0.AddScaled(u, d)) < toB(a0.AddScaled(v, d)) {
			hi = v
		} else {
			lo = u
		}
	}
	return toB(a0.AddScaled((lo+hi)/2, d))
}

// gap returns the least distance between solids of links that are not
// neighbours.
func gap(m *Model, q kin.Joints) (least float64, a, b string) {
	var f kin.Frames
	m.Chain.Forward(&q, &f)
	least = math.Inf(1)
	for i, s := range m.Solids {
		for _, t := range m.Solids[i+1:] {
			if t.Link-s.Link < 2 {
				continue
			}
			p, r := &f[s.Link], &f[t.Link]
			if d := segments(p.Apply(s.From), p.Apply(s.To), r.Apply(t.From), r.Apply(t.To)) - s.Radius - t.Radius; d < least {
				least, a, b = d, s.Name, t.Name
			}
		}
	}
	return least, a, b
}

func TestBuiltinBodyClearsItselfAtHome(t *testing.T) {
	for _, name := range Names() {
		m, _ := Builtin(name)
		if d, a, b := gap(m, homes[name]); d < 10 {
			t.Errorf("%s at home: %s and %s are %.1f mm apart, want at least 10", name, a, b, d)
		}
	}
}

func TestHazelBodyClearsItselfInTheSoapCell(t *testing.T) {
	m, _ := Builtin("hazel")
	for _, p := range soapCell {
		q := kin.Joints{kin.Rad(p[0]), kin.Rad(p[1]), kin.Rad(p[2]), 0, kin.Rad(p[3]), 0}
		if d, a, b := gap(m, q); d < 20 {
			t.Errorf("hazel at %v: %s and %s are %.1f mm apart, want at least 20", p, a, b, d)
		}
		for i := range q {
			if q[i] < m.Limits[i].Min || q[i] > m.Limits[i].Max {
				t.Errorf("hazel at %v: axis %d outside its limits", p, i+1)
			}
		}
	}
}

// The solids cover the line from joint to joint: along every link's offsets
// there is a solid of that link or of a neighbour around each point.
func TestBuiltinBodyCoversTheChain(t *testing.T) {
	for _, name := range Names() {
		m, _ := Builtin(name)
		q := homes[name]
		var f kin.Frames
		m.Chain.Forward(&q, &f)
		for i, r := range m.Chain.Rows() {
			foot := f[i].T.AddScaled(r.D, f[i].R.Z)
			for _, leg := range [2][2]kin.Vec{{f[i].T, foot}, {foot, f[i+1].T}} {
				for step := range 101 {
					p := leg[0].AddScaled(float64(step)/100, leg[1].Sub(leg[0]))
					least := math.Inf(1)
					for _, s := range m.Solids {
						if s.Link < i || s.Link > i+2 {
							continue
						}
						g := &f[s.Link]
						least = math.Min(least, segments(p, p, g.Apply(s.From), g.Apply(s.To))-s.Radius)
					}
					// The base starts just above the surface that it stands on.
					if least > 2.001 {
						t.Fatalf("%s: row %d, %v is %.1f mm outside the body", name, i+1, p, least)
					}
				}
			}
		}
	}
}
