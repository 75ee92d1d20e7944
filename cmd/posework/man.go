package main

import (
	"fmt"
	"os"
	"path/filepath"

	"posework/cmd/posework/internal/manual"
)

type manCmd struct {
	Dir string `placeholder:"DIR" help:"Write the pages of all commands into this folder instead of printing one." predictor:"folder"`
}

// Help is shown by --help.
func (manCmd) Help() string {
	return `Prints the manual page of posework, for man(1), or writes those of all its
commands into a folder.

Example:

  posework man --dir ~/.local/share/man/man1

Exit status: 0, or 2 when the folder can't be written.`
}

// Run prints or writes.
func (c *manCmd) Run(s *session) error {
	root := s.parser.Model.Node
	if c.Dir == "" {
		return manual.Write(s.out, root)
	}
	for _, n := range manual.Commands(root) {
		f, err := os.Create(filepath.Join(c.Dir, manual.Name(n)+".1"))
		if err != nil {
			return fmt.Errorf("write the manual: %w", err)
		}
		err = manual.Write(f, n)
		if e := f.Close(); err == nil {
			err = e
		}
		if err != nil {
			return fmt.Errorf("write the manual: %w", err)
		}
	}
	return nil
}
