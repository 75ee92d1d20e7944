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
		w.SpeedNear(moving, sweep.Body{Kind: sweep.Solid, Index: i}, 100)
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

// BenchmarkPlanned is the whole way from a program to its verdicts: it is planned
// anew every time.
func BenchmarkPlanned(b *testing.B) {
	c := soapCell(b)
	b.ReportAllocs()
	for b.Loop() {
		ask(c, plan(b, c, packProgram(2)))
	}
}

// BenchmarkSolids grows the number of solids: the soap cell's, and further ones
// beside it, that many more of them as a line of posts.
func BenchmarkSolids(b *testing.B) {
	for _, more := range []int{0, 12, 36} {
		b.Run(fmt.Sprintf("solids=%d", 12+more), func(b *testing.B) {
			c := soapCell(b)
			for i := range more {
				c.Solids = append(c.Solids, cell.Solid{Name: fmt.Sprintf("post %d", i), Shape: post(-200+30*float64(i), 760, -300, 20, 900)})
			}
			tr := plan(b, c, packProgram(2))
			b.ReportAllocs()
			for b.Loop() {
				ask(c, tr)
			}
		})
	}
}

// BenchmarkCloseness runs the tool along a wall: the worst that can happen to a
// least distance, for it is the same all the way.
func BenchmarkCloseness(b *testing.B) {
	for _, mm := range []float64{200, 30, 10, 1, 0.1, -1} {
		b.Run(fmt.Sprintf("mm=%g", mm), func(b *testing.B) {
			c := soapCell(b)
			c.Solids = []cell.Solid{{Name: "wall", Shape: box(500+40+mm+50, 0, 300, 100, 1000, 600)}}
			tr := plan(b, c, `tool: cup
poses:
  a: {xyz: [500, -200, 300], rpy: [180, 0, 0]}
  b: {xyz: [500, 200, 300], rpy: [180, 0, 0]}
steps:
- {to: a, path: joint, speed: 50 %, end: stop}
- {to: b, path: line, speed: 200 mm/s, end: stop}
`)
			all, _ := everything(tr)
			b.ReportAllocs()
			for b.Loop() {
				sweep.New(tr, sweep.Options{}).Clearance(all, func(x, y sweep.Body) float64 { return 20 })
			}
		})
	}
}
