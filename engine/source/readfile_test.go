package source

import (
	"errors"
	"io/fs"
	"testing"
	"testing/fstest"
)

func TestBeside(t *testing.T) {
	for _, tt := range []struct{ dir, name, want string }{
		{"a", "b.yaml", "a/b.yaml"},
		{"a", "../c/b.yaml", "c/b.yaml"},
		{".", "b.yaml", "b.yaml"},
		{"a", "./b/../c.yaml", "a/c.yaml"},
		{"a", "../../b.yaml", ""},
		{".", "../b.yaml", ""},
		{"a", "/b.yaml", ""},
		{"a", "", ""},
		{"a", "..", ""},
		{"a", "b\\c", ""},
		{"a", "c:b", ""},
		{"a", "b\x00", ""},
	} {
		got, err := Beside(tt.dir, tt.name)
		if got != tt.want || (err == nil) != (tt.want != "") {
			t.Errorf("Beside(%q, %q) = %q, %v, want %q", tt.dir, tt.name, got, err, tt.want)
		}
	}
}

// brokenFS fails in a chosen way.
type brokenFS struct{ open, stat, read error }

func (b brokenFS) Open(string) (fs.File, error) { return b, b.open }
func (b brokenFS) Stat() (fs.FileInfo, error)   { return info, b.stat }
func (b brokenFS) Read([]byte) (int, error)     { return 0, b.read }
func (b brokenFS) Close() error                 { return nil }

var info, _ = fstest.MapFS{"f": {}}.Stat("f")

func TestReadFile(t *testing.T) {
	files := fstest.MapFS{"f": {Data: []byte("0123456789")}, "d/f": {}}
	if got, err := ReadFile(files, "f", 4); err != nil || string(got) != "01234" {
		t.Errorf("ReadFile with limit 4 = %q, %v, want one byte more", got, err)
	}
	bad := errors.New("bad")
	for want, f := range map[string]fs.FS{
		"it can't be opened":     brokenFS{open: bad},
		"it is no regular file":  brokenFS{stat: bad},
		"it can't be read":       brokenFS{read: bad},
		"there is no such file":  fstest.MapFS{},
		"it is no regular file ": files,
	} {
		name := "f"
		if want == "it is no regular file " {
			name, want = "d", "it is no regular file"
		}
		if _, err := ReadFile(f, name, 4); err == nil || err.Error() != want {
			t.Errorf("ReadFile: %v, want %s", err, want)
		}
	}
}
