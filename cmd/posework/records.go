package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"posework/engine/wholefile"
)

type recordsCmd struct {
	List    recordsListCmd    `cmd:"" help:"List attempts, marks, answers, people or sign-offs."`
	Verify  recordsVerifyCmd  `cmd:"" help:"Check that no sign-off was altered, removed or moved."`
	Head    recordsHeadCmd    `cmd:"" help:"Print where each site's chain of sign-offs ends, to be published."`
	About   recordsAboutCmd   `cmd:"" help:"Tell what is stored about a person."`
	Forget  recordsForgetCmd  `cmd:"" help:"Erase what is stored about a person."`
	Export  recordsExportCmd  `cmd:"" help:"Write records for other programs: CSV, XLSX, JSON Lines, xAPI."`
	Import  recordsImportCmd  `cmd:"" help:"Read a roster from a CSV file."`
	Backup  recordsBackupCmd  `cmd:"" help:"Write all records to a file."`
	Restore recordsRestoreCmd `cmd:"" help:"Fill empty records from a backup."`
}

// moment is a date or a time on the command line.
type moment time.Time

// UnmarshalText reads 2026-03-02 (the start of that day here) or
// 2026-03-02T05:50:00Z.
func (m *moment) UnmarshalText(text []byte) error {
	if t, err := time.ParseInLocation(time.DateOnly, string(text), time.Local); err == nil {
		*m = moment(t)
		return nil
	}
	t, err := time.Parse(time.RFC3339, string(text))
	if err != nil {
		return fmt.Errorf("%q is not a date; write it as 2026-03-02", text)
	}
	*m = moment(t)
	return nil
}

// save writes a file whole or not at all: what fails leaves an older file of that
// name as it was. A new one is for its owner's eyes alone: it tells of people. ""
// and "-" write to out.
func save(name string, out io.Writer, write func(io.Writer) error) error {
	if name == "" || name == "-" {
		return write(out)
	}
	// A device or pipe can't be replaced by a file; it is written to.
	if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
		f, err := os.OpenFile(name, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		return errors.Join(write(f), f.Close())
	}
	if err := wholefile.Write(name, 0o600, write); err != nil {
		return fmt.Errorf("write %s: %w", name, err)
	}
	return nil
}
