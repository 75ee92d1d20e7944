package main

import (
	"fmt"
	"os"
	"strings"

	"github.com/posener/complete"
	"github.com/willabides/kongplete"

	"posework/cmd/posework/internal/reference"
	"posework/kin/arm"
)

type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"The shell: bash, zsh or fish."`
}

// Help is shown by --help.
func (completionCmd) Help() string {
	return `Prints a script that makes the shell complete commands, flags, lessons, codes and
arms. The shell asks posework itself, so that lessons of your own are completed
too. posework must be on the PATH.

Examples, one a shell:

  source <(posework completion bash)      # in ~/.bashrc
  source <(posework completion zsh)       # in ~/.zshrc, after compinit
  posework completion fish | source       # in ~/.config/fish/config.fish

Exit status: 0, or 2 for another shell.`
}

var completionScripts = map[string]string{
	"bash": "complete -C posework posework\n",
	"zsh":  "autoload -U +X bashcompinit && bashcompinit\ncomplete -C posework posework\n",
	"fish": `function __posework_words
    set -lx COMP_LINE (commandline -cp)
    test -z (commandline -ct)
    and set COMP_LINE "$COMP_LINE "
    posework
end
complete -f -c posework -a "(__posework_words)"
`,
}

// Run prints the script.
func (c *completionCmd) Run(s *session) error {
	_, err := fmt.Fprint(s.out, completionScripts[c.Shell])
	return err
}

// completeLine answers a shell that asks for completions, in the way that bash's
// "complete -C" asks: the line so far is in COMP_LINE. It reports whether one
// asked.
func completeLine(s *session) bool {
	if os.Getenv("COMP_LINE") == "" {
		return false
	}
	kongplete.Complete(s.parser,
		kongplete.WithPredictor("lesson", complete.PredictFunc(s.predictLesson)),
		kongplete.WithPredictor("code", complete.PredictFunc(predictCode)),
		kongplete.WithPredictor("arm", complete.PredictOr(complete.PredictSet(arm.Names()...), complete.PredictFiles("*.urdf"), complete.PredictFiles("*.yaml"))),
		kongplete.WithPredictor("program", complete.PredictFiles("*.yaml")),
		kongplete.WithPredictor("file", complete.PredictFiles("*")),
		kongplete.WithPredictor("folder", complete.PredictDirs("*")),
		kongplete.WithExitFunc(func(int) {}),
		kongplete.WithErrorHandler(func(error) {}),
	)
	return true
}

// predictLesson completes lesson ids, of the course that the line names.
func (s *session) predictLesson(a complete.Args) []string {
	for i, word := range a.All {
		if dir, ok := strings.CutPrefix(word, "--course="); ok {
			s.options.Course = dir
		} else if word == "--course" && i+1 < len(a.All) {
			s.options.Course = a.All[i+1]
		}
	}
	course, err := s.course()
	if err != nil {
		return nil
	}
	var ids []string
	for _, l := range course.Lessons {
		ids = append(ids, l.ID)
	}
	return ids
}

func predictCode(complete.Args) []string {
	codes := []string{"formulas"}
	for _, e := range reference.Entries() {
		codes = append(codes, e.Code)
	}
	return codes
}
