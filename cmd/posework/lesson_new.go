package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"posework/grader/report"
	"posework/lessons"
)

type lessonNewCmd struct {
	Dir     string `arg:"" help:"The folder to make, such as own/30-look-at-the-rack." predictor:"folder"`
	ID      string `name:"id" placeholder:"ID" help:"The lesson's id, for records; the folder's name without its number unless given."`
	Title   string `placeholder:"TEXT" help:"The lesson's title; made from its id unless given."`
	Module  string `placeholder:"TEXT" default:"Own lessons" help:"The module that it stands in; ${default} unless given."`
	Minutes int    `placeholder:"N" default:"30" help:"How long it takes; ${default} unless given."`
}

// Help is shown by --help.
func (lessonNewCmd) Help() string {
	return `Makes the folder of a new lesson that is complete: a cell, a task with its checks,
hints, questions, text, sources, two good answers and seven flawed ones. posework
lesson check finds nothing wrong with it, and comments say what everything is.
Replace it piece by piece, and check now and then.

A folder that is there already is left alone.

Example:

  mkdir own
  posework lesson new own/30-look-at-the-rack --title "Look at the rack"

Exit status: 0 made, 2 could not be done.`
}

// Run makes the lesson.
func (c *lessonNewCmd) Run(s *session) error {
	head := c.head()
	files, err := lessons.Skeleton(head)
	if err != nil {
		return err
	}
	if err := writeNew(c.Dir, files); err != nil {
		return err
	}
	// The head may hold what no lesson may.
	if _, l := lessons.Load(os.DirFS(c.Dir), "."); len(l) > 0 {
		return errors.Join(report.Diagnostics(s.err, l), os.RemoveAll(c.Dir),
			errors.New("no lesson was made: mend the id, title, module or minutes"))
	}
	_, err = fmt.Fprintf(s.out, "%s holds the lesson %s; posework lesson check %s tells what is wrong with it\n", c.Dir, head.ID, c.Dir)
	return err
}

var leadingNumber = regexp.MustCompile(`^[0-9]+-`)

// head fills in what the flags leave open.
func (c *lessonNewCmd) head() lessons.Head {
	h := lessons.Head{ID: c.ID, Title: c.Title, Module: c.Module, Minutes: c.Minutes}
	if h.ID == "" {
		h.ID = leadingNumber.ReplaceAllString(filepath.Base(filepath.Clean(c.Dir)), "")
	}
	if h.Title == "" {
		h.Title = strings.ReplaceAll(h.ID, "-", " ")
		h.Title = strings.ToUpper(h.Title[:min(1, len(h.Title))]) + h.Title[min(1, len(h.Title)):]
	}
	return h
}

// writeNew writes files into a folder that it makes. When something goes wrong
// nothing is left.
func writeNew(dir string, files map[string][]byte) error {
	err := os.Mkdir(dir, 0o777)
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s is there already; name a new folder", dir)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("make the lesson: there is no folder %s to put it in; make that one first", filepath.Dir(filepath.Clean(dir)))
	case err != nil:
		return fmt.Errorf("make the lesson: %w", err)
	}
	for name, data := range files {
		file := filepath.Join(dir, filepath.FromSlash(name))
		err = os.MkdirAll(filepath.Dir(file), 0o777)
		if err == nil {
			err = os.WriteFile(file, data, 0o666)
		}
		if err != nil {
			return errors.Join(fmt.Errorf("make the lesson: %w", err), os.RemoveAll(dir))
		}
	}
	return nil
}
