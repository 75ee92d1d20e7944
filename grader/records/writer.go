package records

import (
	"context"
	"errors"
)

// groupMax is how many writes share one sync at most; more would only delay the
// first of them.
const groupMax = 256

// write is one caller's transaction on its way through the queue.
type write struct {
	fn   func(*tx) error
	err  error
	done chan struct{}
}

func (d *sqliteDialect) write(ctx context.Context, fn func(*tx) error) error {
	w := &write{fn: fn, done: make(chan struct{})}
	select {
	case <-d.quit:
		return ErrClosed
	case <-ctx.Done():
		return ctx.Err()
	case d.queue <- w:
	}
	select {
	case <-w.done:
		return d.explain(w.err)
	case <-d.done:
		// The loop ended; it may have served this write last.
		select {
		case <-w.done:
			return d.explain(w.err)
		default:
			return ErrClosed
		}
	}
}

// loop serves the queue until close, then what is left in it.
func (d *sqliteDialect) loop() {
	defer close(d.done)
	group := make([]*write, 0, groupMax)
	for {
		group = group[:0]
		select {
		case w := <-d.queue:
			group = append(group, w)
		case <-d.quit:
			select {
			case w := <-d.queue:
				group = append(group, w)
			default:
				return
			}
		}
	gather:
		for len(group) < groupMax {
			select {
			case w := <-d.queue:
				group = append(group, w)
			default:
				break gather
			}
		}
		d.commit(group)
		for _, w := range group {
			close(w.done)
		}
	}
}

// commit runs a group of writes in one transaction. One that fails is undone
// alone; when the transaction fails, all do.
func (d *sqliteDialect) commit(group []*write) {
	// Not the callers' contexts: one that gives up must not undo the others.
	t := &tx{ctx: context.Background(), d: d, q: d.conn, ask: d.prepared}
	err := t.exec("BEGIN IMMEDIATE")
	if err == nil {
		for _, w := range group {
			w.err = d.step(t, w.fn)
			if err = d.explain(w.err); endsAll(err) {
				break
			}
			err = nil
		}
		if err == nil {
			err = d.samePlace()
		}
		if err == nil {
			err = t.exec("COMMIT")
		}
		if err != nil {
			// After a failed COMMIT the transaction may be over already.
			_, _ = d.conn.ExecContext(t.ctx, "ROLLBACK")
		}
	}
	if err == nil {
		return
	}
	for _, w := range group {
		if w.err == nil {
			w.err = err
		}
	}
}

// endsAll tells an error after which SQLite may have undone the whole
// transaction from one that undoes a single statement.
func endsAll(err error) bool {
	return errors.Is(err, ErrFull) || errors.Is(err, ErrGone) || errors.Is(err, ErrDamaged) || errors.Is(err, ErrReadOnly)
}

// step runs one write between two savepoints.
func (d *sqliteDialect) step(t *tx, fn func(*tx) error) error {
	if err := t.exec("SAVEPOINT one"); err != nil {
		return err
	}
	err := fn(t)
	if err != nil {
		err = errors.Join(err, t.exec("ROLLBACK TO one"))
	}
	return errors.Join(err, t.exec("RELEASE one"))
}
