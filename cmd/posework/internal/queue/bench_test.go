package queue

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"posework/cmd/posework/internal/marking"
	"posework/cmd/posework/internal/rehearsal"
	"posework/lessons"
)

// BenchmarkWorkers grades classes through the queue with one worker process and
// with two, of one core each: programs of twenty steps, and of 240, which take ten
// times as long. On free cores two take 1/1.8 of the time of one; server and
// whoever asks need a core of their own for that, or programs that take long.
func BenchmarkWorkers(b *testing.B) {
	c, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		b.Fatal(l)
	}
	var short, long []marking.Job
	for h := range rehearsal.Class(c, lessons.Embedded(), rehearsal.Lessons(), 400, 1) {
		j := marking.Job{Learner: h.Learner, Lesson: h.Lesson, File: h.Learner + ".yaml", Text: h.Text, Course: "v1", At: at(), Keep: true}
		short = append(short, j)
		if len(long) < 400 {
			// The same steps twelve times.
			head, steps, _ := strings.Cut(string(h.Text), "steps:\n")
			j.Text = []byte(head + "steps:\n  - repeat: 12\n    steps:\n      " + strings.ReplaceAll(strings.TrimSpace(steps), "\n", "\n    ") + "\n")
			long = append(long, j)
		}
	}
	for _, class := range []struct {
		name string
		jobs []marking.Job
	}{{"20", short}, {"240", long}} {
		for _, workers := range []int{1, 2} {
			b.Run(fmt.Sprintf("steps=%s/processes=%d", class.name, workers), func(b *testing.B) { benchmarkWorkers(b, class.jobs, workers) })
		}
	}
}

func benchmarkWorkers(b *testing.B, jobs []marking.Job, workers int) {
	dsn := schema(b)
	q := open(b, dsn)
	for range workers {
		cmd, err := startWorker(dsn, "POSEWORK_TEST_CORES=1")
		if err != nil {
			b.Fatal(err)
		}
		defer func() {
			if err := killWorker(cmd); err != nil {
				b.Error(err)
			}
		}()
	}
	round := 0
	for b.Loop() {
		round++
		graded := 0
		for i := range jobs {
			jobs[i].Key = marking.Key("bench", fmt.Sprint(round, i))
		}
		for r, err := range marking.Stream(b.Context(), 256, slices.Values(jobs), q.GradePile) {
			if err != nil || r.Trouble != "" {
				b.Fatal(err, r.Trouble)
			}
			if r.Mark != nil {
				graded++
			}
		}
		if graded < len(jobs)*9/10 {
			b.Fatalf("only %d of %d programs were graded", graded, len(jobs))
		}
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N*len(jobs)), "ms/program")
}
