package main

import "fmt"

type recordsRestoreCmd struct {
	File string `arg:"" help:"A file that posework records backup wrote." predictor:"file"`
}

// Help is shown by --help.
func (recordsRestoreCmd) Help() string {
	return `Fills empty records from a backup and verifies them. Records that hold anything
are left alone: name a new place with --records, or move the old file away first.
A backup that was cut off, damaged or altered is refused as a whole.

Example:

  posework records restore records-2026-03-02.jsonl.gz --records new.db

Exit status: 0 restored, 1 restored but the chain of sign-offs is not whole, 2 could
not be done.`
}

// Run restores.
func (c *recordsRestoreCmd) Run(s *session) error {
	store, err := s.store()
	if err != nil {
		return err
	}
	defer store.Close()
	n, err := store.RestoreFile(s.ctx, c.File)
	if err != nil {
		return err
	}
	v, err := store.Verify(s.ctx)
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintf(s.out, "%d rows restored\n%s\n", n, v); err != nil {
		return err
	}
	if len(v.Faults) > 0 {
		return status(statusNotPassed)
	}
	return nil
}
