package grader_test

import (
	"testing"

	"posework/grader"
)

func BenchmarkGraphs(b *testing.B) {
	t := &testing.T{}
	c, k := setup(t, read(t, "cell.yaml"), read(t, "pick_task.yaml"))
	text := []byte(read(t, "pick.yaml"))
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		x, l := grader.Prepare(c, k, "pick.yaml", text, grader.Options{})
		if len(l) > 0 {
			b.Fatal(l)
		}
		grader.Examine(x)
		b.StartTimer()
		x.Graphs(300, nil)
	}
}
