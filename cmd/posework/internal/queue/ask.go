package queue

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/riverqueue/river"

	"posework/cmd/posework/internal/marking"
	"posework/grader/records"
)

var _ marking.Grader = (*Queue)(nil)

// The order in which jobs are taken: a learner who waits comes before a pile.
const (
	priorityOne  = 1
	priorityPile = 2
)

// Grade puts a job into the queue of its course and returns its result once a
// worker has graded it. A job whose key is there already is not put in twice; its
// result is the same. When ctx ends the job stays in the queue.
func (q *Queue) Grade(ctx context.Context, j marking.Job) (marking.Result, error) {
	return q.grade(ctx, j, priorityOne)
}

// GradePile is Grade for one job of many, which let others pass.
func (q *Queue) GradePile(ctx context.Context, j marking.Job) (marking.Result, error) {
	return q.grade(ctx, j, priorityPile)
}

func (q *Queue) grade(ctx context.Context, j marking.Job, priority int) (marking.Result, error) {
	r := marking.Result{Job: j}
	if j.Unread != "" {
		r.Trouble = j.Unread
		return r, nil
	}
	if j.Course == "" {
		return r, errors.New("put into the queue: the course is not named")
	}
	if j.Key == "" {
		j.Key = uuid.NewString()
	}
	id, err := q.insert(ctx, &j, priority)
	if err != nil {
		return r, fmt.Errorf("put into the queue: %w", err)
	}
	done, err := q.wait.result(ctx, q.store, id)
	if err != nil {
		return r, fmt.Errorf("wait for the queue: %w", err)
	}
	switch {
	case done.gone:
		r.Trouble = "it was taken out of the queue before it was graded"
		return r, nil
	case done.output == nil:
		r.Trouble = "no worker could grade it: " + done.reason
		return r, nil
	}
	return decode(r.Job, done.output)
}

// insert puts a job in and returns its number. A server that is away for a moment
// is asked again: a job is not put in twice.
func (q *Queue) insert(ctx context.Context, j *marking.Job, priority int) (int64, error) {
	opts := &river.InsertOpts{
		MaxAttempts: attempts, Priority: priority, Queue: q.name(j.Course), UniqueOpts: river.UniqueOpts{ByArgs: true},
	}
	a, err := argsOf(j, q.Build)
	if err != nil {
		return 0, err
	}
	for begun := time.Now(); ; {
		in, err := q.client.Insert(ctx, a, opts)
		if err == nil {
			return in.Job.ID, nil
		}
		if err = q.store.Explain(err); !errors.Is(err, records.ErrGone) || time.Since(begun) > Silence {
			return 0, err
		}
		select {
		case <-ctx.Done():
			return 0, ctx.Err()
		case <-time.After(poll):
		}
	}
}

// done is how a job ended.
type done struct {
	gone   bool   // it is not in the queue any more
	output []byte // nil: it was given up, for the reason
	reason string
}

// waiting asks for all jobs that are waited for with one query, as long as there
// are any.
type waiting struct {
	mu   sync.Mutex
	jobs map[int64][]chan<- answer
}

type answer struct {
	done
	err error
}

// result waits until a job has ended.
func (w *waiting) result(ctx context.Context, store *records.Store, id int64) (done, error) {
	c := make(chan answer, 1)
	w.mu.Lock()
	if w.jobs == nil {
		w.jobs = map[int64][]chan<- answer{}
	}
	if len(w.jobs) == 0 {
		// Not the caller's context: the next one to wait relies on it.
		go w.look(context.WithoutCancel(ctx), store)
	}
	w.jobs[id] = append(w.jobs[id], c)
	w.mu.Unlock()
	select {
	case a := <-c:
		return a.done, a.err
	case <-ctx.Done():
		w.forget(id, c)
		return done{}, ctx.Err()
	}
}

// forget takes one that waits off the list.
func (w *waiting) forget(id int64, c chan<- answer) {
	w.mu.Lock()
	defer w.mu.Unlock()
	list := w.jobs[id]
	for i := range list {
		if list[i] == c {
			w.jobs[id] = append(list[:i:i], list[i+1:]...)
			break
		}
	}
	// An id without anyone stays until the next look, which ends with the last.
}

// look asks until nobody waits.
func (w *waiting) look(ctx context.Context, store *records.Store) {
	waiting := 0
	heard := time.Now()
	for {
		// One who waits alone is answered soon; for a pile the question is a long one,
		// and rarer.
		time.Sleep(min(poll/2+time.Duration(waiting)*time.Millisecond, 4*poll))
		w.mu.Lock()
		ids := make([]int64, 0, len(w.jobs))
		for id, list := range w.jobs {
			if len(list) == 0 {
				delete(w.jobs, id)
				continue
			}
			ids = append(ids, id)
		}
		if len(ids) == 0 {
			w.mu.Unlock()
			return // result begins anew: the list is empty under the same lock
		}
		waiting = len(ids)
		w.mu.Unlock()
		err := w.ask(ctx, store.Postgres(), ids)
		switch {
		case err == nil:
			heard = time.Now()
		case time.Since(heard) > Silence || !errors.Is(store.Explain(err), records.ErrGone):
			for _, id := range ids {
				w.tell(id, answer{err: store.Explain(err)})
			}
		}
	}
}

// ask asks once and tells those whose jobs have ended.
func (w *waiting) ask(ctx context.Context, db *sql.DB, ids []int64) error {
	ctx, cancel := context.WithTimeout(ctx, Silence)
	defer cancel()
	rows, err := db.QueryContext(ctx, `SELECT w.id, j.id IS NULL, j.metadata->'output', j.errors[array_upper(j.errors, 1)]
		FROM unnest($1::bigint[]) AS w (id) LEFT JOIN river_job j ON j.id = w.id WHERE j.id IS NULL OR j.finalized_at IS NOT NULL`, ids)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var id int64
		var d done
		var fault []byte
		if err := rows.Scan(&id, &d.gone, &d.output, &fault); err != nil {
			return err
		}
		d.reason = reason(fault)
		w.tell(id, answer{done: d})
	}
	return rows.Err()
}

func (w *waiting) tell(id int64, a answer) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, c := range w.jobs[id] {
		c <- a // there is room for one, and only one is told
	}
	delete(w.jobs, id)
}

// reason is what the queue noted when a job failed for the last time.
func reason(fault []byte) string {
	var f struct {
		Error string `json:"error"`
	}
	if json.Unmarshal(fault, &f) != nil || f.Error == "" {
		return "the queue gave no reason"
	}
	return f.Error
}
