package records

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// mounted returns a small file system of its own, or skips where making one is
// not allowed.
func mounted(t *testing.T, options string) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, options); err != nil {
		t.Skipf("NOT TESTED ON A REAL FULL DISK: mounting is not allowed: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func TestRealDiskFull(t *testing.T) {
	dir := mounted(t, "size=1m")
	s := open(t, filepath.Join(dir, "records.db"))
	kept := 0
	var err error
	for i := range 1000 {
		a := attempt("Ines Calloway", "L07", 50, i)
		a.Program = make([]byte, 10_000)
		if _, err = s.AddAttempt(t.Context(), a); err != nil {
			break
		}
		kept++
	}
	if !errors.Is(err, ErrFull) || kept == 0 {
		t.Fatalf("after %d attempts: %v, want ErrFull", kept, err)
	}
	got, err := s.Attempts(t.Context(), AttemptFilter{}, Page{Limit: 1000})
	if err != nil || len(got) != kept {
		t.Errorf("%d attempts, %v, want the %d that were acknowledged", len(got), err, kept)
	}
	if _, err := s.BackupFile(t.Context(), filepath.Join(dir, "backup.jsonl"), at(1)); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("BackupFile: %v, want no space left", err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); left != nil {
		t.Errorf("the failed backup left %v", left)
	}
	// More room, and it goes on; nothing acknowledged was lost.
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT, "size=8m"); err != nil {
		t.Fatal(err)
	}
	addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 2000))
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	s = open(t, filepath.Join(dir, "records.db"))
	if got, err := s.Progress(t.Context(), "Ines Calloway"); err != nil || got[0].Attempts != kept+1 {
		t.Errorf("Progress = %v, %v, want %d attempts", got, err, kept+1)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	dir := mounted(t, "size=4m")
	path := filepath.Join(dir, "records.db")
	s := open(t, path)
	addAttempt(t, s, attempt("Ines Calloway", "L07", 50, 1))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{path, filepath.Join(dir, "other.db"), filepath.Join(dir, "new", "records.db")} {
		_, err := Open(t.Context(), p)
		if !errors.Is(err, ErrReadOnly) {
			t.Errorf("Open(%s): %v, want ErrReadOnly", filepath.Base(p), err)
		}
		wantErr(t, err, "give yourself the right to write there, or name another file")
	}
}

func TestFolderOfSomeoneElse(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write everywhere; see TestReadOnlyFolder")
	}
	dir := t.TempDir()
	if err := os.Chmod(dir, 0o500); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), filepath.Join(dir, "records.db")); !errors.Is(err, ErrReadOnly) {
		t.Errorf("Open: %v, want ErrReadOnly", err)
	}
}
