package main

import (
	"fmt"
	"runtime/debug"

	"posework/engine/diag"
)

type versionCmd struct{}

// Help is shown by --help.
func (versionCmd) Help() string {
	return `Tells the version of the program, and the version of the course: a digest of all
its lessons, which is kept with every mark.

Example:

  posework version

Exit status: 0, or 2 when the course can't be read.`
}

// Run prints the versions.
func (c *versionCmd) Run(s *session) error {
	course, err := s.course()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "posework %s\ncourse %s, %s\n", programVersion(), course.version, diag.Count(len(course.Lessons), "lesson", "lessons"))
	return err
}

// programVersion is what the build knows of itself: the module's version, or
// the commit.
func programVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	revision, changed := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12:
			revision = s.Value[:12]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = " with changes"
		}
	}
	if revision == "" {
		return "in development"
	}
	return revision + changed
}
