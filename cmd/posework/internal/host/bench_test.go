//go:build unix

package host

import (
	"context"
	"fmt"
	"io"
	"net"
	"runtime/debug"
	"slices"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"

	gossh "golang.org/x/crypto/ssh"

	"posework/grader/records"
)

// jogger is a client that notes how long its keys wait for an answer.
type jogger struct {
	session *gossh.Session
	keys    io.Writer

	mu      sync.Mutex
	pressed []time.Time // keys that have no answer yet
	waited  []time.Duration
	bytes   int
	frames  int
}

// Write gets what the host draws: the answer to all keys that were pressed before.
func (j *jogger) Write(p []byte) (int, error) {
	now := time.Now()
	j.mu.Lock()
	defer j.mu.Unlock()
	j.bytes += len(p)
	j.frames++
	for _, at := range j.pressed {
		j.waited = append(j.waited, now.Sub(at))
	}
	j.pressed = j.pressed[:0]
	return len(p), nil
}

// forget begins the notes anew.
func (j *jogger) forget() {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.pressed, j.waited, j.bytes, j.frames = j.pressed[:0], nil, 0, 0
}

func (j *jogger) press(key string) error {
	j.mu.Lock()
	j.pressed = append(j.pressed, time.Now())
	j.mu.Unlock()
	_, err := io.WriteString(j.keys, key)
	return err
}

// atBench logs a learner in and brings them to the bench.
func (r *running) atBench(i int) *jogger {
	r.t.Helper()
	c := r.terminal(120, 40, gossh.PublicKeys(r.person(fmt.Sprintf("Learner %d", i), records.Learner)))
	c.sees(r.t, "Walk round the soap cell")
	c.press("jogging", enter)
	c.sees(r.t, "p practise")
	c.press("p")
	c.sees(r.t, "device released")
	j := &jogger{session: c.session, keys: c.keys}
	c.instead(j)
	return j
}

// jog holds the enabling device and a jog key, as a person does, for a time.
func (j *jogger) jog(ctx context.Context, seed int) error {
	const repeat = time.Second / 25 // of a key that is held
	time.Sleep(repeat * time.Duration(seed%25) / 25)
	tick := time.NewTicker(repeat)
	defer tick.Stop()
	for n := seed; ; n++ {
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
		key := right
		if n/100%2 == 1 {
			key = "\x1b[D"
		}
		if n%20 == 0 {
			key = " " // the device relaxes by itself
		}
		if err := j.press(key); err != nil {
			return err
		}
	}
}

// BenchmarkJogging is what a key waits for its answer while so many learners jog,
// and what a session takes of memory.
func BenchmarkJogging(b *testing.B) {
	for _, learners := range []int{1, 25, 100} {
		b.Run("learners="+strconv.Itoa(learners), func(b *testing.B) { benchmarkJogging(b, learners, 0) })
	}
}

// BenchmarkFlood is the same while somebody opens 200 connections at once, and
// again as soon as they are cut.
func BenchmarkFlood(b *testing.B) { benchmarkJogging(b, 25, 200) }

// flood opens connections at once, again and again.
func flood(ctx context.Context, addr string, n int) {
	for ctx.Err() == nil {
		var all sync.WaitGroup
		for range n {
			all.Go(func() {
				c, err := net.DialTimeout("tcp", addr, time.Second)
				if err != nil {
					return
				}
				defer c.Close()
				_, _ = io.WriteString(c, "SSH-2.0-flood\r\n")
				_ = c.SetReadDeadline(time.Now().Add(2 * time.Second))
				_, _ = io.Copy(io.Discard, c)
			})
		}
		all.Wait()
	}
}

func benchmarkJogging(b *testing.B, learners, hostile int) {
	h := serve(b, nil)
	h.atBench(-1) // what is made once for all
	defer debug.SetGCPercent(debug.SetGCPercent(GCPercent))
	before := memory()
	joggers := make([]*jogger, learners)
	for i := range joggers {
		joggers[i] = h.atBench(i)
	}
	after := memory()
	together := func(d time.Duration) {
		ctx, stop := context.WithTimeout(b.Context(), d)
		defer stop()
		var wg sync.WaitGroup
		for i, j := range joggers {
			wg.Go(func() {
				if err := j.jog(ctx, i); err != nil {
					b.Error(err)
				}
			})
		}
		wg.Wait()
	}
	together(time.Second) // to get going
	for _, j := range joggers {
		j.forget()
	}
	if hostile > 0 {
		ctx, stop := context.WithCancel(b.Context())
		var flooding sync.WaitGroup
		flooding.Go(func() { flood(ctx, h.addr, hostile) })
		defer flooding.Wait()
		defer stop()
	}
	busy, began := processor(b), time.Now()
	for b.Loop() {
		together(5 * time.Second)
	}
	busy, took := processor(b)-busy, time.Since(began)
	jogging := memory()
	var all []time.Duration
	sent, frames := 0, 0
	for _, j := range joggers {
		j.mu.Lock()
		all = append(all, j.waited...)
		for _, at := range j.pressed {
			all = append(all, time.Since(at))
		}
		sent += j.bytes
		frames += j.frames
		j.mu.Unlock()
	}
	slices.Sort(all)
	ms := func(share float64) float64 {
		return float64(all[min(len(all)-1, int(share*float64(len(all))))].Microseconds()) / 1000
	}
	b.ReportMetric(ms(0.5), "ms-p50")
	b.ReportMetric(ms(0.99), "ms-p99")
	b.ReportMetric(ms(1), "ms-max")
	b.ReportMetric(float64(sent)/float64(frames), "B/frame")
	b.ReportMetric(float64(frames)/took.Seconds()/float64(learners), "frames/s/session")
	b.ReportMetric(busy.Seconds()/took.Seconds(), "cores")
	b.ReportMetric(float64(busy.Microseconds())/float64(frames), "µs-cpu/frame")
	n := float64(learners) * 1e6
	if hostile == 0 {
		b.ReportMetric((after.used-before.used)/n, "MB-go/session")
		b.ReportMetric((jogging.rss-before.rss)/n, "MB-rss/session")
	}
	b.ReportMetric(float64(h.pace.apart().Milliseconds()), "ms-apart")
	b.ReportMetric(0, "ns/op")
}

// processor is the processor time that this process, hosts and clients, has taken.
func processor(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
