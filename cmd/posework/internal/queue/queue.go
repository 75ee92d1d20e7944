// Package queue has programs graded by other processes, on any machine: whoever
// has jobs puts them into a queue that lies in the PostgreSQL database of the
// records, and workers take them from there.
//
// [Queue] is a [marking.Grader]: its Grade returns once some worker has graded
// the job. [Queue.Work] is such a worker.
//
//   - Every job counts once. Its attempt, its result and the end of the job are
//     committed in one transaction, and the attempt carries the job's key, which
//     is unique. A worker that dies at any moment leaves all of that or nothing.
//   - A worker that dies gives its jobs back. Each holds a lock that the database
//     server takes away with its connection; the others look every [Lookout] for
//     jobs whose worker has none. A killed process is noticed at once, a machine
//     that lost its network after [Silence]. Nothing waits for a time-out of the
//     job itself, which a long program may need.
//   - A server that is away for less than [Silence] is waited for, by workers and
//     by those who ask.
//   - Jobs wait in a queue of their course's version and of the program's, so that
//     a worker with another course, or a newer one, leaves them to others.
//
// Jobs hold names and programs. They are deleted a day after they were graded,
// and [Forget] deletes those of one person.
package queue

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverdatabasesql"
	"github.com/riverqueue/river/rivermigrate"

	"posework/grader/records"
)

// What a room may have to wait for.
const (
	Lookout = time.Second      // how often workers look for jobs of dead ones
	Silence = 20 * time.Second // without any answer, after which a machine is taken for dead
	poll    = 100 * time.Millisecond
	// attempts is how many workers may die of one program before it is given up.
	attempts = 20
	// stuck is when a job whose worker is alive is taken for lost all the same.
	// The longest program that can be written takes about a minute.
	stuck = 10 * time.Minute
	kept  = 24 * time.Hour // how long a job that has ended is kept, with its result
)

// ErrNoQueue says that the records have no place for a queue.
var ErrNoQueue = errors.New("a queue needs records that several machines can reach: give --records postgres://USER@HOST/DATABASE")

// Queue is an open queue. Safe for concurrent use.
type Queue struct {
	// Build is the version of this program, "" where all are taken for one. Marks
	// depend on it as they do on the course.
	Build string

	store  *records.Store
	db     *sql.DB
	client *river.Client[*sql.Tx] // puts jobs in
	wait   waiting
}

// Open opens the queue beside records on PostgreSQL, and makes or upgrades it
// where needed.
func Open(ctx context.Context, store *records.Store) (*Queue, error) {
	q := &Queue{store: store, db: store.Postgres()}
	if q.db == nil {
		return nil, ErrNoQueue
	}
	if err := q.migrate(ctx); err != nil {
		return nil, fmt.Errorf("open the queue: %w", err)
	}
	var err error
	q.client, err = river.NewClient(riverdatabasesql.New(q.db), &river.Config{Logger: silent()})
	if err != nil {
		return nil, fmt.Errorf("open the queue: %w", err)
	}
	return q, nil
}

// silent keeps the library from writing where results and screens are.
func silent() *slog.Logger { return slog.New(slog.DiscardHandler) }

// schemaLock is the number of the advisory lock around the queue's schema.
const schemaLock = 0x7175657565 // "queue"

// migrate brings the tables of the queue up to the newest version. Two programs
// may do so at the same moment.
func (q *Queue) migrate(ctx context.Context) (err error) {
	c, err := q.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	if _, err := c.ExecContext(ctx, "SELECT pg_advisory_lock($1)", int64(schemaLock)); err != nil {
		return err
	}
	defer func() {
		_, e := c.ExecContext(context.WithoutCancel(ctx), "SELECT pg_advisory_unlock($1)", int64(schemaLock))
		err = errors.Join(err, e)
	}()
	m, err := rivermigrate.New(riverdatabasesql.New(q.db), &rivermigrate.Config{Logger: silent()})
	if err != nil {
		return err
	}
	_, err = m.Migrate(ctx, rivermigrate.DirectionUp, nil)
	return err
}

// name is the queue of a course's version, for programs of this build.
func (q *Queue) name(course string) string {
	if q.Build == "" {
		return "course_" + course
	}
	sum := sha256.Sum256([]byte(q.Build))
	return fmt.Sprintf("course_%s_%x", course, sum[:4])
}

// Waiting is how many jobs of a course are not graded yet.
type Waiting struct {
	Course  string
	Ours    bool // programs of this build may grade them
	Jobs    int
	Workers int // that are there for them
}

// Waiting tells what waits, by course.
func (q *Queue) Waiting(ctx context.Context) ([]Waiting, error) {
	rows, err := q.db.QueryContext(ctx, `SELECT queue, count(*) FROM river_job WHERE kind = $1 AND finalized_at IS NULL GROUP BY queue ORDER BY queue`, kind)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []Waiting
	var queues []string
	for rows.Next() {
		var w Waiting
		var queue string
		if err := rows.Scan(&queue, &w.Jobs); err != nil {
			return nil, err
		}
		w.Course, _, _ = strings.Cut(strings.TrimPrefix(queue, "course_"), "_")
		w.Ours = queue == q.name(w.Course)
		list, queues = append(list, w), append(queues, queue)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	for i := range list {
		workers, err := alive(ctx, q.db, queues[i])
		if err != nil {
			return nil, err
		}
		list[i].Workers = len(workers)
	}
	return list, nil
}
