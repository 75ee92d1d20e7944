package host

import (
	"context"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/host/door"
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
}

// Write gets what the host draws: the answer to all keys that were pressed before.
func (j *jogger) Write(p []byte) (int, error) {
	now := time.Now()
	j.mu.Lock()
	defer j.mu.Unlock()
	j.bytes += len(p)
	for _, at := range j.pressed {
		j.waited = append(j.waited, now.Sub(at))
	}
	j.pressed = j.pressed[:0]
	return len(p), nil
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
		b.Run("learners="+strconv.Itoa(learners), func(b *testing.B) { benchmarkJogging(b, learners) })
	}
}

func benchmarkJogging(b *testing.B, learners int) {
	h := serve(b, func(o *Options) {
		o.Limits = door.Limits{Waiting: 1000, PerPlace: 1000, Handshake: time.Minute, Login: time.Minute}
	})
	h.atBench(-1) // what is made once for all
	defer debug.SetGCPercent(debug.SetGCPercent(GCPercent))
	before := memory()
	joggers := make([]*jogger, learners)
	for i := range joggers {
		joggers[i] = h.atBench(i)
	}
	after := memory()
	busy, began := processor(b), time.Now()
	for b.Loop() {
		ctx, stop := context.WithTimeout(b.Context(), 5*time.Second)
		var wg sync.WaitGroup
		for i, j := range joggers {
			wg.Go(func() {
				if err := j.jog(ctx, i); err != nil {
					b.Error(err)
				}
			})
		}
		wg.Wait()
		stop()
	}
	b.ReportMetric((processor(b)-busy).Seconds()/time.Since(began).Seconds(), "cores")
	jogging := memory()
	var all []time.Duration
	sent := 0
	for _, j := range joggers {
		j.mu.Lock()
		all = append(all, j.waited...)
		for _, at := range j.pressed {
			all = append(all, time.Since(at))
		}
		sent += j.bytes
		j.mu.Unlock()
	}
	slices.Sort(all)
	ms := func(share float64) float64 {
		return float64(all[min(len(all)-1, int(share*float64(len(all))))].Microseconds()) / 1000
	}
	b.ReportMetric(ms(0.5), "ms-p50")
	b.ReportMetric(ms(0.99), "ms-p99")
	b.ReportMetric(ms(1), "ms-max")
	b.ReportMetric(float64(sent)/float64(len(all)), "B/key")
	n := float64(learners) * 1e6
	b.ReportMetric((after.used-before.used)/n, "MB-go/session")
	b.ReportMetric((jogging.rss-before.rss)/n, "MB-rss/session")
	b.ReportMetric(float64(h.pace.apart().Milliseconds()), "ms-apart")
	b.ReportMetric(0, "ns/op")
}

// memory is what this process has taken: heap and stacks in use, after a
// collection, and what the system gave it.
type memoryUse struct{ used, rss float64 }

func memory() memoryUse {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	u := memoryUse{used: float64(m.HeapInuse + m.StackInuse)}
	text, err := os.ReadFile("/proc/self/statm")
	if fields := strings.Fields(string(text)); err == nil && len(fields) > 1 {
		pages, _ := strconv.Atoi(fields[1])
		u.rss = float64(pages * os.Getpagesize())
	}
	return u
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
