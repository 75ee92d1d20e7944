package main

import (
	"io/fs"
	"os"
	"path/filepath"

	"posework/lessons"
)

// copyAnswers puts the answers of the lessons that the tests hand in for below
// answers/, in folders named by the lessons' ids.
func copyAnswers(work string) error {
	for dir, id := range map[string]string{
		"03-stops-and-modes": "stops-and-modes", "12-approach-the-crate": "approach-the-crate", "18-prove-it": "prove-it",
	} {
		answers, err := fs.Sub(lessons.Embedded(), dir+"/answers")
		if err != nil {
			return err
		}
		if err := os.CopyFS(filepath.Join(work, "answers", id), answers); err != nil {
			return err
		}
	}
	return nil
}
