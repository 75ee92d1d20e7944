package records

import (
	"fmt"
	"sync/atomic"
	"testing"
)

// BenchmarkAddAttempt measures durable attempts: each call returns once its row
// is synced. The goal is 1,000 a second from concurrent callers.
func BenchmarkAddAttempt(b *testing.B) {
	for _, p := range places(b) {
		for _, callers := range []int{1, 16, 64} {
			b.Run(fmt.Sprintf("db=%s/callers=%d", p.name, callers), func(b *testing.B) {
				if p.dsn == nil {
					b.Skip("POSEWORK_TEST_POSTGRES is not set")
				}
				s := open(b, p.dsn(b))
				var n atomic.Int64
				b.ReportAllocs()
				// Callers wait for the disk, not for a core.
				b.SetParallelism(callers)
				b.RunParallel(func(pb *testing.PB) {
					for pb.Next() {
						i := int(n.Add(1))
						a := attempt(fmt.Sprintf("Learner %d", i%30), "L07", float64(i%101), i)
						if _, err := s.AddAttempt(b.Context(), a); err != nil {
							b.Error(err)
						}
					}
				})
				b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "attempts/s")
			})
		}
	}
}
