package records

import (
	"bufio"
	"bytes"
	"cmp"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"strings"

	"github.com/google/uuid"
)

// ErrNotEmpty is returned by [Store.Restore] for records that hold anything.
var ErrNotEmpty = errors.New("the records are not empty")

// RestoreFile fills empty records from a file that [Store.BackupFile] wrote.
func (s *Store) RestoreFile(ctx context.Context, path string) (int, error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, fmt.Errorf("restore: %w", err)
	}
	defer f.Close()
	var r io.Reader = f
	if strings.HasSuffix(path, ".gz") {
		if r, err = gzip.NewReader(f); err != nil {
			return 0, fmt.Errorf("restore: %s: %w", path, err)
		}
	}
	n, err := s.Restore(ctx, r)
	if err != nil {
		return 0, fmt.Errorf("restore: %s: %w", path, err)
	}
	return n, nil
}

// Restore fills records from a backup of either database and returns how many
// rows came back. The records must be empty; they take over the identity of
// those that were backed up. On an error they stay empty.
func (s *Store) Restore(ctx context.Context, r io.Reader) (int, error) {
	b := &restore{lines: bufio.NewScanner(r), sum: sha256.New()}
	b.lines.Buffer(make([]byte, 64<<10), lineMax)
	var used bool
	err := s.d.write(ctx, func(t *tx) error {
		if used { // the reader can't be read again
			return fmt.Errorf("%w: others write to them at the same time", ErrBusy)
		}
		used = true
		if err := s.d.alone(t); err != nil {
			return err
		}
		for _, tab := range tables() {
			var n int
			if err := t.one([]any{&n}, "SELECT count(*) FROM "+tab.name); err != nil {
				return err
			}
			if n > 0 {
				return fmt.Errorf("%w: table %s has %d rows; restore into a new place", ErrNotEmpty, tab.name, n)
			}
		}
		return b.run(t, s)
	})
	if err != nil {
		return 0, err
	}
	s.id = b.head.ID
	return b.rows, nil
}

// restore is the state of one restoration.
type restore struct {
	lines *bufio.Scanner
	sum   hash.Hash
	line  int
	rows  int
	head  backupHeader
	last  map[string]int64 // highest id by table
}

func (b *restore) fail(format string, args ...any) error {
	return fmt.Errorf("line %d: %s", b.line, fmt.Sprintf(format, args...))
}

// next returns the next line, or nil at the end of the file.
func (b *restore) next() ([]byte, error) {
	b.line++
	if b.lines.Scan() {
		return b.lines.Bytes(), nil
	}
	if err := b.lines.Err(); err != nil {
		return nil, b.fail("%v", err)
	}
	return nil, nil
}

func (b *restore) add(line []byte) {
	b.sum.Write(line)
	b.sum.Write([]byte{'\n'})
}

func (b *restore) run(t *tx, s *Store) error {
	line, err := b.next()
	if err != nil {
		return err
	}
	if json.Unmarshal(line, &b.head) != nil || !strings.HasPrefix(b.head.Posework, "backup/") {
		return b.fail("is not the header of a posework backup")
	}
	if b.head.Posework != backupForm {
		return b.fail("the backup has the format %s, but this program reads %s; install the newer program", b.head.Posework, backupForm)
	}
	if _, err := uuid.Parse(b.head.ID); err != nil {
		return b.fail("the identity of the records, %q, is not a UUID", b.head.ID)
	}
	b.add(line)
	b.last = map[string]int64{}
	for {
		line, err := b.next()
		if err != nil {
			return err
		}
		if line == nil {
			return b.fail("the backup ends here, without its last line: it was cut off")
		}
		if bytes.HasPrefix(line, []byte(`{"end":`)) {
			if err := b.end(line); err != nil {
				return err
			}
			if more, err := b.next(); more != nil || err != nil {
				return cmp.Or(err, b.fail("there is more after the last line of the backup; restore one backup at a time"))
			}
			break
		}
		if err := b.row(t, line); err != nil {
			return err
		}
		b.add(line)
	}
	for _, tab := range tables() {
		if tab.counted {
			if err := s.d.setLastID(t, tab.name, max(b.last[tab.name], b.head.Last[tab.name])); err != nil {
				return err
			}
		}
	}
	if err := recountAll(t); err != nil {
		return err
	}
	return t.exec("UPDATE store SET value = $1 WHERE name = 'id'", b.head.ID)
}

// row restores one row.
func (b *restore) row(t *tx, line []byte) error {
	var named map[string]json.RawMessage
	if json.Unmarshal(line, &named) != nil || len(named) != 1 {
		return b.fail("is not a row of a backup: the file was damaged or cut off here")
	}
	for _, tab := range tables() {
		raw, ok := named[tab.name]
		if !ok {
			continue
		}
		values, err := tab.decode(raw)
		if err != nil {
			return b.fail("%s: %v", tab.name, err)
		}
		if err := t.exec(tab.insert(), values...); err != nil {
			return fmt.Errorf("line %d: %s: does not fit the rows before it: %w", b.line, tab.name, err)
		}
		b.rows++
		if tab.counted {
			b.last[tab.name] = max(b.last[tab.name], values[0].(int64))
		}
		return nil
	}
	return b.fail("is a row of a table that this program does not know; install the newer program")
}

// end checks the last line.
func (b *restore) end(line []byte) error {
	var end map[string]backupEnd
	if err := json.Unmarshal(line, &end); err != nil {
		return b.fail("is not the last line of a backup")
	}
	if got := hex.EncodeToString(b.sum.Sum(nil)); end["end"].Rows != b.rows || end["end"].Sum != got {
		return b.fail("the backup was altered or damaged: its content does not fit its checksum")
	}
	return nil
}
