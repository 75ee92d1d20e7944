package page

import (
	"bytes"
	"fmt"
	"io"
	"testing"
)

type counter int64

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}

// One learner's part, of a program that was graded already.
func BenchmarkSection(b *testing.B) {
	all := class(b)
	for _, i := range []int{0, 1, 2} {
		b.Run("program="+all[i].File, func(b *testing.B) {
			b.ReportAllocs()
			var size counter
			for b.Loop() {
				size = 0
				if err := Section(&size, all[i]); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(size)/1000, "kB/part")
		})
	}
}

// The document around the parts: what it takes a learner stays the same, however
// many there are.
func BenchmarkClass(b *testing.B) {
	all := class(b)
	var part bytes.Buffer
	if err := Section(&part, all[1]); err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{30, 1000, 10000} {
		b.Run(fmt.Sprintf("learners=%d", n), func(b *testing.B) {
			c := &Class{Title: "bench", Lesson: all[0].Lesson}
			for i := range n {
				c.Rows = append(c.Rows, rowOf(all[i%len(all)]))
			}
			b.ReportAllocs()
			var size counter
			for b.Loop() {
				size = 0
				err := c.Write(&size, func(yield func(io.Reader, error) bool) {
					for range n {
						if !yield(bytes.NewReader(part.Bytes()), nil) {
							return
						}
					}
				})
				if err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/learner")
		})
	}
}
