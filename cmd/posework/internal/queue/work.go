package queue

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverdatabasesql"
	"github.com/riverqueue/river/rivertype"

	"posework/cmd/posework/internal/marking"
	"posework/grader/records"
)

// Worker is what takes jobs from a queue.
type Worker struct {
	Local   *marking.Local // the course, and how it is graded
	Cores   int            // programs graded at once; 0: 1
	Grace   time.Duration  // for programs that are being graded when the worker is to end
	Say     func(string)   // told what the one who runs the worker should know
	Graded  func(*marking.Result)
	refused time.Duration // how long a job of another course is left to others; 0: 2 s
}

// fetched is how many jobs a worker has at hand for each core: they are asked
// for at intervals, and most programs take less than one.
const fetched = 8

// Work takes jobs until ctx ends. Then it finishes what is being graded, within
// the grace, and gives the rest back.
func (q *Queue) Work(ctx context.Context, w Worker) error {
	cores := max(1, w.Cores)
	h := &hand{Worker: w, store: q.store, cores: make(chan struct{}, cores), ending: ctx.Done(), jobs: map[int64]bool{}}
	s, err := newSign(ctx, q.db, q.name(w.Local.Version), h.has)
	if err != nil {
		return fmt.Errorf("join the queue: %w", err)
	}
	// The sign of life outlasts ctx: jobs are still being finished.
	life, end := context.WithCancel(context.WithoutCancel(ctx))
	over := make(chan struct{})
	go func() {
		defer close(over)
		s.keep(life, q.db, w.say)
	}()
	defer func() {
		end()
		<-over
		_ = s.close() // the server takes it away with the connection otherwise
	}()

	workers := river.NewWorkers()
	river.AddWorker(workers, h)
	client, err := river.NewClient(riverdatabasesql.New(q.db), &river.Config{
		ID:                          s.name(),
		Queues:                      map[string]river.QueueConfig{q.name(w.Local.Version): {MaxWorkers: fetched * cores}},
		Workers:                     workers,
		FetchCooldown:               poll / 5,
		FetchPollInterval:           poll,
		JobTimeout:                  -1,
		RescueStuckJobsAfter:        stuck,
		RetryPolicy:                 soon{},
		CompletedJobRetentionPeriod: kept, DiscardedJobRetentionPeriod: kept,
		SoftStopTimeout: max(w.Grace, time.Millisecond),
		Logger:          slog.New(teller{w.say}),
	})
	if err != nil {
		return fmt.Errorf("join the queue: %w", err)
	}
	if err := client.Start(context.WithoutCancel(ctx)); err != nil {
		return fmt.Errorf("join the queue: %w", err)
	}
	<-ctx.Done()
	if err := client.Stop(context.WithoutCancel(ctx)); err != nil {
		return fmt.Errorf("leave the queue: %w", err)
	}
	return nil
}

func (w *Worker) say(text string) {
	if w.Say != nil {
		w.Say(text)
	}
}

// hand grades the jobs that a worker has taken.
type hand struct {
	river.WorkerDefaults[args]
	Worker
	store  *records.Store
	cores  chan struct{}
	ending <-chan struct{}

	mu   sync.Mutex
	jobs map[int64]bool // that are in hand
}

// has tells whether a job is in hand.
func (h *hand) has(job int64) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.jobs[job]
}

func (h *hand) hold(job int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.jobs[job] = true
}

func (h *hand) drop(job int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.jobs, job)
}

// Work grades one job. Result, attempt and the end of the job go into one
// transaction.
func (h *hand) Work(ctx context.Context, job *river.Job[args]) error {
	h.hold(job.ID)
	defer h.drop(job.ID)
	j, err := job.Args.job()
	if err != nil {
		return err
	}
	if j.Course != h.Local.Version {
		h.say(fmt.Sprintf("job %d goes back to the queue: %s", job.ID, marking.OtherCourse(j.Course, h.Local.Version)))
		after := h.refused
		if after == 0 {
			after = 2 * time.Second
		}
		return river.JobSnooze(after)
	}
	r, ok := h.examine(ctx, j)
	if !ok {
		return river.JobSnooze(0)
	}
	err = h.commit(ctx, job, &r)
	if err != nil && !transient(err) {
		r.Trouble, r.Mark, r.Errors = fmt.Sprintf("the attempt can't be recorded: %v", err), nil, nil
		err = h.commit(ctx, job, &r)
	}
	if errors.Is(err, rivertype.ErrNotFound) {
		return nil // another worker has ended the job meanwhile, or it was taken out
	}
	if err == nil && h.Graded != nil {
		h.Graded(&r)
	}
	return err
}

// examine grades a job once a core is free, unless the worker ends before, or the
// grace while it is at it.
func (h *hand) examine(ctx context.Context, j marking.Job) (r marking.Result, ok bool) {
	select {
	case <-h.ending:
		return r, false
	default:
	}
	select {
	case h.cores <- struct{}{}:
	case <-h.ending:
		return r, false
	}
	result := make(chan marking.Result, 1)
	go func() {
		defer func() { <-h.cores }()
		result <- h.Local.Examine(j)
	}()
	select {
	case r = <-result:
		return r, true
	case <-ctx.Done():
		return r, false
	}
}

// commit records a result together with the end of its job.
func (h *hand) commit(ctx context.Context, job *river.Job[args], r *marking.Result) error {
	// What is graded is worth keeping although the worker's time is up.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), Silence)
	defer cancel()
	var rows []records.Row
	if r.Job.Keep && r.Trouble == "" {
		a, err := r.Record()
		if err != nil {
			return err
		}
		rows = append(rows, &a)
	}
	return h.store.AddWith(ctx, func(t *sql.Tx, ids []int64) error {
		if len(ids) > 0 {
			r.Attempt = ids[0]
		}
		data, err := encode(r)
		if err != nil {
			return err
		}
		if err := river.RecordOutput(ctx, data); err != nil {
			return err
		}
		_, err = river.JobCompleteTx[*riverdatabasesql.Driver](ctx, t, job)
		return err
	}, rows...)
}

// transient tells whether trying again may help.
func transient(err error) bool {
	var refused *records.RefusedError
	return !errors.As(err, &refused)
}

// soon is when a job is tried again that could not be committed.
type soon struct{}

// NextRetry is asked for by the queue.
func (soon) NextRetry(job *rivertype.JobRow) time.Time {
	return time.Now().Add(time.Duration(len(job.Errors)+1) * time.Second)
}

// teller passes on what the queue's library reports as an error.
type teller struct{ say func(string) }

// Enabled reports whether a message of that level is passed on.
func (t teller) Enabled(_ context.Context, l slog.Level) bool { return l >= slog.LevelError }

// Handle passes a message on in one line.
func (t teller) Handle(_ context.Context, r slog.Record) error {
	text := r.Message
	r.Attrs(func(a slog.Attr) bool {
		if a.Key == "error" || a.Key == "err" {
			text += ": " + a.Value.String()
		}
		return true
	})
	t.say(text)
	return nil
}

// WithAttrs adds nothing.
func (t teller) WithAttrs([]slog.Attr) slog.Handler { return t }

// WithGroup adds nothing.
func (t teller) WithGroup(string) slog.Handler { return t }
