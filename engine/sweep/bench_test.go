package sweep_test

import (
	"fmt"
	"testing"

	"posework/engine/cell"
	"posework/engine/motion"
	"posework/engine/sweep"
	"posework/kin"
)

type sweepSpan = sweep.Span

// ask asks everything that a grader asks about a program in the soap cell.
func ask(c *cell.Cell, tr *motion.Trajectory) int {
	w := sweep.New(tr, sweep.Options{})
	all, moving := everything(tr)
	for axis := range 6 {
		w.AxisRoom(all, axis)
		w.AxisSpeed(moving, axis)
		w.AxisDemand(moving, axis)
	}
	for _, a := range []sweep.Alignment{sweep.Wrist, sweep.Elbow, sweep.Shoulder} {
		w.SingularityRoom(moving, a)
	}
	w.ToolSpeed(moving)
	w.SlowestTool(moving)
	w.PointSpeed(moving)
	for i := range c.Solids {
		w.SpeedNear(moving, i, 100)
	}
	pairs := w.Clearance(all, func(a, b sweep.Body) float64 { return 20 })
	for i := range c.Zones {
		w.ZoneClearance(all, i, 0)
		w.ZoneSpeed(moving, i)
	}
	w.Tilt(moving, kin.Vec{Z: -1})
	w.Nearest(moving, kin.Vec{X: 420, Y: 230, Z: 110})
	return len(pairs)
}

func BenchmarkEverything(b *testing.B) {
	for _, rounds := range []int{1, 2, 4} {
		b.Run(fmt.Sprintf("steps=%d", 10*rounds), func(b *testing.B) {
			c := soapCell(b)
			tr := plan(b, c, packProgram(rounds))
			b.ReportAllocs()
			b.ReportMetric(tr.Duration, "s-of-motion")
			for b.Loop() {
				ask(c, tr)
			}
		})
	}
}
