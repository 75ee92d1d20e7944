package queue

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// sign is a worker's sign of life: an advisory lock of two numbers, one for the
// queue that it takes jobs from, one for the worker, on a connection of its own.
type sign struct {
	queue  string
	number uint32
	conn   *sql.Conn
	busy   func(job int64) bool // whether this worker has the job in hand
}

// queueNumber is the first number of the locks of a queue's workers.
func queueNumber(queue string) uint32 {
	sum := sha256.Sum256([]byte("posework worker " + queue))
	return binary.BigEndian.Uint32(sum[:])
}

// prefix begins the name under which a worker takes jobs; its number follows.
const prefix = "posework-"

func (s *sign) name() string { return fmt.Sprintf("%s%08x", prefix, s.number) }

// numberOf is the number of the worker of that name.
func numberOf(name string) (uint32, bool) {
	text, ours := strings.CutPrefix(name, prefix)
	n, err := strconv.ParseUint(text, 16, 32)
	return uint32(n), ours && err == nil
}

// newSign chooses a number that no other worker has.
func newSign(ctx context.Context, db *sql.DB, queue string, busy func(int64) bool) (*sign, error) {
	for {
		var b [4]byte
		rand.Read(b[:])
		s := &sign{queue: queue, number: binary.BigEndian.Uint32(b[:]), busy: busy}
		free, err := s.hold(ctx, db)
		if err != nil || free {
			return s, err
		}
	}
}

// hold takes the lock on a new connection. The server notices within [Silence]
// when nobody is at the other end any more.
func (s *sign) hold(ctx context.Context, db *sql.DB) (free bool, err error) {
	if s.conn, err = db.Conn(ctx); err != nil {
		return false, err
	}
	defer func() {
		if !free {
			err = errors.Join(err, s.conn.Close())
		}
	}()
	if _, err := s.conn.ExecContext(ctx, "SELECT set_config('tcp_keepalives_idle', '5', false), set_config('tcp_keepalives_interval', '5', false), set_config('tcp_keepalives_count', '3', false)"); err != nil {
		return false, err
	}
	err = s.conn.QueryRowContext(ctx, "SELECT pg_try_advisory_lock($1, $2)", int32(queueNumber(s.queue)), int32(s.number)).Scan(&free)
	return free, err
}

// close gives the lock back.
func (s *sign) close() error {
	_, err := s.conn.ExecContext(context.Background(), "SELECT pg_advisory_unlock($1, $2)", int32(queueNumber(s.queue)), int32(s.number))
	return errors.Join(err, s.conn.Close())
}

// alive lists the numbers of the workers of a queue.
func alive(ctx context.Context, q interface {
	QueryContext(context.Context, string, ...any) (*sql.Rows, error)
}, queue string) (map[uint32]bool, error) {
	rows, err := q.QueryContext(ctx, `SELECT objid::bigint FROM pg_locks WHERE locktype = 'advisory' AND objsubid = 2 AND granted
		AND database = (SELECT oid FROM pg_database WHERE datname = current_database()) AND classid::bigint = $1`, int64(queueNumber(queue)))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	list := map[uint32]bool{}
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return nil, err
		}
		list[uint32(n)] = true
	}
	return list, rows.Err()
}

// Workers tells how many workers are there for a course.
func (q *Queue) Workers(ctx context.Context, course string) (int, error) {
	list, err := alive(ctx, q.db, q.name(course))
	return len(list), err
}

// keep shows the sign of life and looks for jobs of dead workers until ctx ends.
// say hears of what can't be done just now.
func (s *sign) keep(ctx context.Context, db *sql.DB, say func(string)) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(Lookout):
		}
		look, cancel := context.WithTimeout(ctx, Silence)
		err := errors.Join(s.rescue(look), s.count(look))
		cancel()
		if err == nil || ctx.Err() != nil {
			continue
		}
		// The connection may be gone, and the lock with it: others take over this
		// worker's jobs then, which counts once all the same.
		say(fmt.Sprintf("the queue does not answer, trying again: %v", err))
		_ = s.conn.Close()
		if free, err := s.hold(ctx, db); err == nil && !free {
			say("the worker's place in the queue is still taken, trying again")
		}
	}
}

// held is a job that some worker has.
type held struct {
	id      int64
	attempt int
	by      string
	long    bool // for longer than any word about it takes to get here
}

// rescue gives back the jobs whose workers are dead, and those that this worker
// has ended without being able to tell, because the server was away.
func (s *sign) rescue(ctx context.Context) error {
	jobs, err := s.running(ctx)
	if err != nil || len(jobs) == 0 {
		return err
	}
	// In this order: who has a job that was seen holds a lock that is seen, unless
	// they are gone.
	workers, err := alive(ctx, s.conn, s.queue)
	if err != nil {
		return err
	}
	for _, j := range jobs {
		n, ours := numberOf(j.by)
		lost := n == s.number && j.long && !s.busy(j.id)
		if !ours || workers[n] && !lost {
			continue
		}
		_, err := s.conn.ExecContext(ctx, `UPDATE river_job SET
			state = CASE WHEN attempt >= max_attempts THEN 'discarded' ELSE 'available' END::river_job_state,
			finalized_at = CASE WHEN attempt >= max_attempts THEN now() END,
			scheduled_at = now(),
			errors = array_append(errors, jsonb_build_object('at', now(), 'attempt', attempt, 'error', $3::text, 'trace', ''))
			WHERE id = $1 AND attempt = $2 AND state = 'running'`, j.id, j.attempt, fmt.Sprintf("%d workers did not come to an end with it", j.attempt))
		if err != nil {
			return err
		}
	}
	return nil
}

// running lists the jobs of the queue that workers have.
func (s *sign) running(ctx context.Context) ([]held, error) {
	rows, err := s.conn.QueryContext(ctx, `SELECT id, attempt, coalesce(attempted_by[array_upper(attempted_by, 1)], ''), attempted_at < now() - make_interval(secs => $2)
		FROM river_job WHERE state = 'running' AND queue = $1`, s.queue, Silence.Seconds())
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []held
	for rows.Next() {
		var h held
		if err := rows.Scan(&h.id, &h.attempt, &h.by, &h.long); err != nil {
			return nil, err
		}
		list = append(list, h)
	}
	return list, rows.Err()
}

// count has the server count the jobs anew. It would do so by itself after a
// minute; until then it plans for an empty table and reads all of it to end one
// job, which takes twenty times as long.
func (s *sign) count(ctx context.Context) error {
	var due bool
	err := s.conn.QueryRowContext(ctx, `SELECT coalesce(greatest(last_analyze, last_autoanalyze) < now() - interval '10 s', true)
		AND n_mod_since_analyze > 50 FROM pg_stat_user_tables WHERE relid = 'river_job'::regclass`).Scan(&due)
	if err != nil || !due {
		return err
	}
	_, err = s.conn.ExecContext(ctx, "ANALYZE river_job")
	return err
}
