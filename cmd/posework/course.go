package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"time"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/grader/records"
	"posework/grader/report"
	"posework/lessons"
)

// course is a loaded course with the version that marks are kept under.
type course struct {
	*lessons.Course
	version string
}

// course loads the built-in course or the one in --course. What is wrong with
// it is written to the error output.
func (s *session) course() (*course, error) {
	fsys, dir := lessons.Embedded(), "."
	root := ""
	if s.options.Course != "" {
		var err error
		if fsys, dir, root, err = courseFolder(s.options.Course); err != nil {
			return nil, err
		}
	}
	c, l := lessons.Load(fsys, dir)
	if len(l) > 0 {
		if err := report.Diagnostics(s.err, below(root, l)); err != nil {
			return nil, err
		}
		return nil, errors.New("the course can't be used before this is mended; posework lesson check tells more")
	}
	version, err := digest(fsys, dir)
	if err != nil {
		return nil, fmt.Errorf("read the course: %w", err)
	}
	return &course{c, version}, nil
}

// courseFolder opens a folder of lessons, or of one lesson. One lesson is opened
// from the folder above, where the cells lie that it shares with others.
func courseFolder(name string) (fsys fs.FS, dir, root string, err error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, "", "", fmt.Errorf("open the course %s: %w; name the folder of the lessons", name, diag.Reason(err))
	}
	if !info.IsDir() {
		return nil, "", "", fmt.Errorf("open the course: %s is a file; name the folder of the lessons", name)
	}
	root, err = filepath.Abs(name)
	if err != nil {
		return nil, "", "", fmt.Errorf("open the course: %w", err)
	}
	dir = "."
	if _, err := os.Stat(filepath.Join(root, "lesson.md")); err == nil {
		dir = filepath.Base(root)
		root = filepath.Dir(root)
		name = filepath.Dir(filepath.Clean(name))
	}
	// Links that lead out of the course are not followed: it may be a stranger's.
	// It stays open as long as the program runs.
	inside, err := os.OpenRoot(root)
	if err != nil {
		return nil, "", "", fmt.Errorf("open the course: %w", err)
	}
	return inside.FS(), dir, name, nil
}

// below puts the folder that a course was loaded from before the names of its
// files, so that a person (or an editor) finds them.
func below(root string, l diag.List) diag.List {
	if root == "" {
		return l
	}
	out := make(diag.List, len(l))
	for i, d := range l {
		d.Pos.Filename = filepath.Join(root, filepath.FromSlash(d.Pos.Filename))
		out[i] = d
	}
	return out
}

// digest is the version of a course: the first half of the SHA-256 of the names
// and contents of its files, in the order of their names.
func digest(fsys fs.FS, dir string) (string, error) {
	h := sha256.New()
	err := fs.WalkDir(fsys, dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		switch path.Ext(name) {
		case ".md", ".yaml", ".urdf":
		default:
			return nil
		}
		f, err := fsys.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		fmt.Fprintf(h, "%s\x00", name)
		_, err = io.Copy(h, f)
		return err
	})
	return hex.EncodeToString(h.Sum(nil)[:6]), err
}

// lesson finds a lesson of the course by its id.
func (c *course) lesson(id string) (*lessons.Lesson, error) {
	if l := c.Find(id); l != nil {
		return l, nil
	}
	var ids []string
	for _, l := range c.Lessons {
		ids = append(ids, l.ID)
	}
	if near := diag.Nearest(id, ids); near != "" {
		return nil, fmt.Errorf("there is no lesson %q; did you mean %q?", id, near)
	}
	return nil, fmt.Errorf("there is no lesson %q; posework lesson list shows them", id)
}

// person is the learner's name: --name, else the login name.
func (s *session) person() (string, error) {
	name := s.options.Name
	for _, variable := range []string{"USER", "LOGNAME", "USERNAME"} {
		if name == "" {
			name = os.Getenv(variable)
		}
	}
	if name == "" {
		name = "learner"
	}
	name, err := records.Name(name)
	if err != nil {
		return "", fmt.Errorf("%w; give a name with --name", err)
	}
	return name, nil
}

// place is where the records are: --records, else the user's data folder.
func (s *session) place() string {
	if s.options.Records != "" {
		return s.options.Records
	}
	return records.DefaultPath(os.Getenv)
}

// store opens the records, new ones where there are none yet.
func (s *session) store() (*records.Store, error) { return records.Open(s.ctx, s.place()) }

// oldStore opens records that are there already: of a mistyped name it would be
// wrong to say that nothing is the matter with it.
func (s *session) oldStore() (*records.Store, error) {
	place := s.place()
	if file, ok := records.File(place); ok {
		if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("there are no records at %s yet; name others with --records", file)
		}
	}
	return records.Open(s.ctx, place)
}

// seat takes the learner's place in the course.
func (s *session) seat() (st *seat.Seat, trouble string, err error) {
	c, err := s.course()
	if err != nil {
		return nil, "", err
	}
	return s.seatIn(c)
}

// seatIn takes the learner's place in a loaded course; a lesson gets the learner's
// own cell when it is entered. Without records the course is open all the same,
// and trouble says what keeps them. The caller closes the seat's store, if there
// is one.
func (s *session) seatIn(c *course) (st *seat.Seat, trouble string, err error) {
	person, err := s.person()
	if err != nil {
		return nil, "", err
	}
	now := time.Now
	st = &seat.Seat{Course: c.Course, Version: c.version, Person: person, Now: now, Seed: uint64(now().UnixNano())}
	store, err := s.store()
	if err != nil {
		return st, fmt.Sprintf("nothing is kept: %v", err), nil
	}
	st.Store = store
	return st, "", nil
}
