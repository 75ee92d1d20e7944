//go:build unix

package paint

import (
	"io"
	"syscall"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// BenchmarkIdle is the processor time that an open screen takes while nothing
// happens: microseconds a second, of this whole process.
func BenchmarkIdle(b *testing.B) {
	r, w := io.Pipe()
	done := make(chan error, 1)
	go func() {
		done <- Show(b.Context(), &page{}, Target{In: r, Out: io.Discard, Size: Size{200, 50}, Pace: Every(apart)}, tea.WithoutSignalHandler())
	}()
	time.Sleep(200 * time.Millisecond)
	from, start := used(b), time.Now()
	for b.Loop() {
		time.Sleep(time.Second)
	}
	b.ReportMetric((used(b)-from).Seconds()/time.Since(start).Seconds()*1e6, "µs-cpu/s")
	b.ReportMetric(0, "ns/op")
	io.WriteString(w, "q")
	<-done
}

func used(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
