package practice

import "testing"

// BenchmarkAdvance is the engine's part of a frame: a thirtieth of a second of
// motion with all that is checked in it.
func BenchmarkAdvance(b *testing.B) {
	for _, a := range []struct {
		name string
		do   Action
	}{
		{"straight", Action{Kind: JogAlong, Axis: 1, Frame: InBase}},
		{"axis", Action{Kind: JogAxis, Axis: 0}},
	} {
		b.Run("motion="+a.name, func(b *testing.B) {
			c := New(soapCell(b), &above)
			c.SetSpeed(25)
			b.ReportAllocs()
			for b.Loop() {
				c.Grip(Middle)
				if c.Hold(a.do) != nil || c.block != nil {
					a.do.Negative = !a.do.Negative
					c.block = nil
				}
				c.Advance(1.0 / 30)
			}
		})
	}
	b.Run("motion=none", func(b *testing.B) {
		c := bench(b)
		b.ReportAllocs()
		for b.Loop() {
			c.Advance(1.0 / 30)
		}
	})
}
