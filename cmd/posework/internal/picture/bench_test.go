package picture

import (
	"fmt"
	"testing"

	"posework/kin"
)

func BenchmarkDraw(b *testing.B) {
	s := soapCell(kin.Joints{kin.Rad(-10), kin.Rad(20), kin.Rad(10), 0, kin.Rad(60), 0})
	for _, size := range []Size{{80, 24}, {119, 49}, {200, 50}} {
		for set, name := range []string{"braille", "ascii"} {
			b.Run(fmt.Sprintf("size=%dx%d/glyphs=%s", size.Width, size.Height, name), func(b *testing.B) {
				var c Canvas
				cam := (Camera{}).Look(Views()[0]).Fit(s, size)
				b.ReportAllocs()
				for b.Loop() {
					c.Draw(s, &cam, size, Glyphs(set))
				}
			})
		}
	}
}
