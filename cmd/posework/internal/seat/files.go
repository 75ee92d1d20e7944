package seat

import (
	"fmt"
	"os"
	"path/filepath"

	"posework/lessons"
)

// File is the file in which a learner's program of a lesson is kept, where they
// may not name one; "" where they do. The name is made of the lesson's id, so that
// it lies in the learner's folder whatever anybody types.
func (s *Seat) File(lesson *lessons.Lesson) string {
	if s.Folder == "" {
		return ""
	}
	name := lesson.ID
	if exam := s.rules(lesson).Exam; exam != nil {
		name = fmt.Sprintf("%s-exam-%d", name, exam.ID)
	}
	return filepath.Join(s.Folder, name+".yaml")
}

// HasFile reports whether a program of a lesson is kept.
func (s *Seat) HasFile(lesson *lessons.Lesson) bool {
	info, err := os.Lstat(s.File(lesson))
	return err == nil && info.Mode().IsRegular()
}
