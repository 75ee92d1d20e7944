package main

import (
	"fmt"
	"time"
)

type recordsBackupCmd struct {
	File string `arg:"" help:"The file to write; compressed when its name ends in .gz." predictor:"file"`
}

// Help is shown by --help.
func (recordsBackupCmd) Help() string {
	return `Writes all records, as they are at one moment, to one file, while others go on
working. The file is the same from SQLite and PostgreSQL, so that it also moves
records from one to the other. It holds personal data; keep it safe.

Example:

  posework records backup records-2026-03-02.jsonl.gz

Exit status: 0 written, 2 could not be done.`
}

// Run writes the backup.
func (c *recordsBackupCmd) Run(s *session) error {
	store, err := s.oldStore()
	if err != nil {
		return err
	}
	defer store.Close()
	n, err := store.BackupFile(s.ctx, c.File, time.Now())
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%d rows written to %s\n", n, c.File)
	return err
}
