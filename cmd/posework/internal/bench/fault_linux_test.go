package bench

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
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

// On a full disk, and in a folder that may not be written to, the program stays
// as it was, nothing is left beside it, and there is a plain reason; with room
// again it is saved.
func TestSaveWithoutRoom(t *testing.T) {
	dir := mounted(t, "size=64k")
	path := filepath.Join(dir, "lift.yaml")
	before, after := bytes.Repeat([]byte("# before\n"), 500), bytes.Repeat([]byte("# after.\n"), 900)
	if err := os.WriteFile(path, before, 0o640); err != nil {
		t.Fatal(err)
	}
	s := NewSaver(path, before)
	fill(t, filepath.Join(dir, "film"))
	wantUnsaved := func(want string, cause error) {
		t.Helper()
		err := s.Save(after, 1, false)
		if !errors.Is(err, cause) || !strings.Contains(err.Error(), "save the program: "+want) || strings.Contains(err.Error(), dir) {
			t.Errorf("Save: %v, want %q", err, want)
		}
		if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, before) {
			t.Errorf("the program has %d bytes, %v, want the %d of before", len(got), err, len(before))
		}
		if left, _ := filepath.Glob(filepath.Join(dir, ".*")); left != nil {
			t.Errorf("left behind: %v", left)
		}
	}
	wantUnsaved("no space left on device", syscall.ENOSPC)
	if err := os.Remove(filepath.Join(dir, "film")); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	wantUnsaved("read-only file system", syscall.EROFS)
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT, ""); err != nil {
		t.Fatal(err)
	}
	if err := s.Save(after, 1, false); err != nil {
		t.Fatal(err)
	}
	if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, after) {
		t.Errorf("with room the program has %d bytes, %v, want %d", len(got), err, len(after))
	}
}

// fill fills the disk that a file lies on.
func fill(t *testing.T, name string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
}

// TestKilledWhileSaving kills a process that saves one text after the other: the
// file holds one of them, whole.
func TestKilledWhileSaving(t *testing.T) {
	text := func(i int) []byte { return fmt.Appendf(nil, "%d\n%s%d\n", i, strings.Repeat("# on and on\n", 2000), i) }
	if path := os.Getenv("POSEWORK_TEST_SAVES"); path != "" {
		s := NewSaver(path, text(0))
		for i := 1; ; i++ {
			if err := s.Save(text(i), i, false); err != nil {
				fmt.Println(err)
				os.Exit(1)
			}
		}
	}
	path := filepath.Join(t.TempDir(), "lift.yaml")
	rounds, last := 20, 0
	for round := range rounds {
		if err := os.WriteFile(path, text(0), 0o644); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(os.Args[0], "-test.run", "^TestKilledWhileSaving$")
		cmd.Env = append(os.Environ(), "POSEWORK_TEST_SAVES="+path)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		for { // until it is at work
			got, err := os.ReadFile(path)
			if err != nil && !errors.Is(err, fs.ErrNotExist) || err == nil && !bytes.Equal(got, text(0)) {
				break
			}
		}
		time.Sleep(time.Duration(round*131) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		if err := cmd.Wait(); err == nil || cmd.ProcessState.Exited() {
			t.Fatalf("it ended by itself: %v", err)
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		var i int
		if _, err := fmt.Sscan(string(got), &i); err != nil || !bytes.Equal(got, text(i)) {
			t.Fatalf("round %d: the file of %d bytes is none of those that were saved", round, len(got))
		}
		last = max(last, i)
	}
	if last < 2 {
		t.Errorf("killed after %d saves at most, so no save was interrupted", last)
	}
}
