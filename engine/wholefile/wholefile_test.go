package wholefile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// text writes a text.
func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

func want(t *testing.T, path, text string, mode fs.FileMode) {
	t.Helper()
	got, err := os.ReadFile(path)
	if err != nil || string(got) != text {
		t.Errorf("%s holds %q, %v, want %q", path, got, err, text)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != mode {
		t.Errorf("%s has mode %v, %v, want %v", path, info.Mode(), err, mode)
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".*")); left != nil {
		t.Errorf("left behind: %v", left)
	}
}

// A new file, the same again, one with a mode of its own, and one by its link.
func TestWrite(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "a.txt"), filepath.Join(dir, "link")
	for _, s := range []string{"first", "a longer second", "3"} {
		if err := Write(path, 0o600, text(s)); err != nil {
			t.Fatal(err)
		}
		want(t, path, s, 0o600)
	}
	if err := errors.Join(os.Chmod(path, 0o664), os.Symlink("a.txt", link)); err != nil {
		t.Fatal(err)
	}
	if err := Write(link, 0o600, text("by the link")); err != nil {
		t.Fatal(err)
	}
	want(t, path, "by the link", 0o664)
	if to, err := os.Readlink(link); err != nil || to != "a.txt" {
		t.Errorf("the link leads to %q, %v", to, err)
	}
}

// What goes wrong leaves the older file, and the error has no name that a person
// does not know.
func TestWriteFails(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	if err := Write(path, 0o640, text("before")); err != nil {
		t.Fatal(err)
	}
	torn := errors.New("torn")
	err := Write(path, 0o640, func(w io.Writer) error { return errors.Join(text("aft")(w), torn) })
	if !errors.Is(err, torn) {
		t.Errorf("Write: %v, want %v", err, torn)
	}
	want(t, path, "before", 0o640)
	folder := filepath.Join(dir, "folder")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	for path, wanted := range map[string]string{folder: "file exists", filepath.Join(dir, "none", "b.txt"): "no such file or directory"} {
		if err := Write(path, 0o600, text("x")); fmt.Sprint(err) != wanted {
			t.Errorf("Write(%s): %v, want %s", path, err, wanted)
		}
	}
	want(t, path, "before", 0o640)
}
