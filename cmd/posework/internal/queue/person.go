package queue

import (
	"context"
	"database/sql"
	"errors"

	"posework/grader/records"
)

// Held tells how many jobs of a person the queue beside the records holds, graded
// or not. There may be no queue.
func Held(ctx context.Context, store *records.Store, person string) (int, error) {
	db, fold, err := ofPerson(ctx, store, person)
	if db == nil || err != nil {
		return 0, err
	}
	var n int
	err = db.QueryRowContext(ctx, "SELECT count(*) FROM river_job WHERE kind = $1 AND args->>'fold' = $2", kind, fold).Scan(&n)
	return n, err
}

// Forget deletes the jobs of a person, graded or not. One that is being graded
// right now comes to nothing: the worker can't end a job that is not there.
func Forget(ctx context.Context, store *records.Store, person string) error {
	db, fold, err := ofPerson(ctx, store, person)
	if db == nil || err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "DELETE FROM river_job WHERE kind = $1 AND args->>'fold' = $2", kind, fold)
	if err == nil {
		// What was deleted is in the files until they are tidied.
		_, err = db.ExecContext(ctx, "VACUUM river_job")
	}
	return err
}

// ofPerson returns the database of the queue, nil where there is none, and what
// the person's jobs are found by.
func ofPerson(ctx context.Context, store *records.Store, person string) (*sql.DB, string, error) {
	name, err := records.Name(person)
	db := store.Postgres()
	if db == nil || err != nil {
		return nil, "", err
	}
	var table sql.NullString
	err = db.QueryRowContext(ctx, "SELECT to_regclass('river_job')::text").Scan(&table)
	if errors.Is(err, sql.ErrNoRows) || !table.Valid {
		return nil, "", err
	}
	return db, records.Fold(name), err
}
