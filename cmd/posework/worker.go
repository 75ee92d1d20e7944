package main

import (
	"context"
	"errors"
	"fmt"
	"os/signal"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"posework/cmd/posework/internal/marking"
	"posework/cmd/posework/internal/queue"
	"posework/engine/diag"
	"posework/grader/records"
)

type workerCmd struct {
	Cores int           `placeholder:"N" help:"Grade so many programs at once; all cores unless given."`
	Grace time.Duration `default:"60s" help:"How long programs that are being graded may take when the worker is told to end."`
}

// Help is shown by --help.
func (workerCmd) Help() string {
	return fmt.Sprintf(`Grades what others put into the queue of shared records: posework class --queue
and posework host, on this machine or on others. Start as many workers as you
like, wherever the database can be reached.

A worker takes only programs for its own course and from its own version of
posework: marks depend on both. It leaves the others to others, and says so. Every program counts once,
also when workers are killed: what a dead process had is taken over within about
%d seconds, what a machine without network had after about %d.

The first interrupt (or SIGTERM) has the worker finish what it is grading and
give the rest back; the second ends it at once.

Example:

  posework worker --records postgres://class@db.example.org/posework

Exit status: 0 ended when told to, 2 could not be done.`, 2*int(queue.Lookout.Seconds()), int(queue.Silence.Seconds()))
}

// Run works until it is told to end.
func (c *workerCmd) Run(s *session) error {
	defer debug.SetGCPercent(debug.SetGCPercent(gcPercent))
	course, err := s.course()
	if err != nil {
		return err
	}
	q, store, err := s.queue()
	if err != nil {
		return err
	}
	defer store.Close()
	cores := c.Cores
	if cores < 1 {
		cores = runtime.NumCPU()
	}
	// From now on the first signal is the context's end, and the next one ends the
	// process as it does by default.
	stop := context.AfterFunc(s.ctx, func() { signal.Reset(syscall.SIGINT, syscall.SIGTERM) })
	defer stop()

	var said sync.Mutex
	say := func(text string) {
		said.Lock()
		defer said.Unlock()
		fmt.Fprintf(s.err, "posework: %s\n", text)
	}
	var graded atomic.Int64
	say(fmt.Sprintf("working with %s, course %s", diag.Count(cores, "core", "cores"), course.version))
	go remind(s.ctx, q, course.version, say)
	err = q.Work(s.ctx, queue.Worker{
		Local: &marking.Local{Course: course.Course, Version: course.version},
		Cores: cores, Grace: c.Grace, Say: say,
		Graded: func(*marking.Result) { graded.Add(1) },
	})
	say(diag.Count(int(graded.Load()), "program", "programs") + " graded")
	return err
}

// queue opens the queue of the records.
func (s *session) queue() (*queue.Queue, *records.Store, error) {
	if _, lite := records.File(s.place()); lite {
		return nil, nil, queue.ErrNoQueue
	}
	store, err := s.store()
	if err != nil {
		return nil, nil, err
	}
	q, err := queue.Open(s.ctx, store)
	if err != nil {
		return nil, nil, errors.Join(err, store.Close())
	}
	q.Build = programVersion()
	return q, store, nil
}

// remind says from time to time what waits for a course that nobody here grades.
func remind(ctx context.Context, q *queue.Queue, course string, say func(string)) {
	const every = 30 * time.Second
	for {
		list, err := q.Waiting(ctx)
		if err == nil {
			for _, w := range list {
				switch {
				case w.Workers > 0:
				case w.Course != course:
					say(fmt.Sprintf("%s for course %s, which no worker has; start one with that course", waits(w.Jobs), w.Course))
				case !w.Ours:
					say(fmt.Sprintf("%s for another version of posework than %s; start a worker of that one", waits(w.Jobs), q.Build))
				}
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(every):
		}
	}
}

func waits(n int) string {
	if n == 1 {
		return "1 program waits"
	}
	return fmt.Sprintf("%d programs wait", n)
}
