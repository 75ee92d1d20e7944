package records

import (
	"bufio"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"posework/engine/wholefile"
)

// backupForm names the format of a backup: JSON Lines, the same from either
// database. The first line is a header, then comes one line a row, and the last
// line holds the number of rows and the SHA-256 of all before it, so that a
// backup that is cut off or damaged is found out.
const backupForm = "backup/1"

// lineMax bounds a line of a backup: a row has at most three long values, and
// JSON takes up to six bytes for one.
const lineMax = 3*6*MaxText + 64<<10

type backupHeader struct {
	Posework string           `json:"posework"`
	ID       string           `json:"id"`
	At       time.Time        `json:"at"`
	Last     map[string]int64 `json:"last"` // id given last, by table: none is given again
}

type backupEnd struct {
	Rows int    `json:"rows"`
	Sum  string `json:"sha256"`
}

// Backup writes all records, as they are at one moment, to w, and returns how
// many rows they are. The time at is noted in the header.
func (s *Store) Backup(ctx context.Context, w io.Writer, at time.Time) (int, error) {
	t, err := s.d.snapshot(ctx, s.db)
	if err != nil {
		return 0, s.d.explain(err)
	}
	defer t.Rollback()
	head := backupHeader{Posework: backupForm, ID: s.id, At: at.UTC(), Last: map[string]int64{}}
	for _, tab := range tables() {
		if tab.counted {
			if head.Last[tab.name], err = s.d.lastID(ctx, t, tab.name); err != nil {
				return 0, s.d.explain(err)
			}
		}
	}
	sum := sha256.New()
	out := bufio.NewWriter(io.MultiWriter(w, sum))
	if err := jsonLine(out, head); err != nil {
		return 0, err
	}
	count := 0
	for _, tab := range tables() {
		err := s.rows(ctx, t, "SELECT "+tab.names()+" FROM "+tab.name+" ORDER BY "+tab.key(), nil, func(r *sql.Rows) error {
			row := tab.dest()
			if err := r.Scan(row...); err != nil {
				return err
			}
			line, err := tab.encode(row)
			if err != nil {
				return err
			}
			count++
			_, err = fmt.Fprintf(out, "{%q:%s}\n", tab.name, line)
			return err
		})
		if err != nil {
			return 0, err
		}
	}
	if err := out.Flush(); err != nil {
		return 0, err
	}
	return count, jsonLine(w, map[string]backupEnd{"end": {Rows: count, Sum: hex.EncodeToString(sum.Sum(nil))}})
}

func jsonLine(w io.Writer, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	_, err = w.Write(append(b, '\n'))
	return err
}

// BackupFile writes a backup to a file, compressed when its name ends in .gz.
// The file appears whole, and synced, or not at all; its owner alone may read it.
func (s *Store) BackupFile(ctx context.Context, path string, at time.Time) (count int, err error) {
	err = wholefile.Write(path, 0o600, func(w io.Writer) (err error) {
		if !strings.HasSuffix(path, ".gz") {
			count, err = s.Backup(ctx, w, at)
			return err
		}
		z := gzip.NewWriter(w)
		if count, err = s.Backup(ctx, z, at); err != nil {
			return err
		}
		return z.Close()
	})
	if err != nil {
		return 0, fmt.Errorf("backup to %s: %w", path, err)
	}
	return count, nil
}
