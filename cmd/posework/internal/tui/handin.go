package tui

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/spinner"
	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/seat"
	"posework/engine/diag"
	"posework/lessons"
)

// handInScreen asks for a program file, by typing its path or choosing it, and
// has it graded.
type handInScreen struct {
	ctx    context.Context
	seat   *seat.Seat
	lesson *lessons.Lesson

	begin  tea.Cmd
	last   string // the name that the pointer begins at
	path   field
	folder string   // whose entries are in files
	files  []string // folders end in a slash; programs alone otherwise
	chosen int      // into matches()
	wrong  string   // what came of the last try
	busy   string   // the file that is being graded
	wheel  spinner.Model
}

// newHandInScreen asks for a program. last is the one that was worked on before,
// "" for none; at once hands it in again without asking.
func newHandInScreen(ctx context.Context, st *seat.Seat, l *lessons.Lesson, last string, atOnce bool) *handInScreen {
	s := &handInScreen{ctx: ctx, seat: st, lesson: l, wheel: spinner.New(spinner.WithSpinner(spinner.Line))}
	folder, name := split(last)
	s.path.Set(folder)
	s.last = name
	s.begin = readFolder(folder)
	if atOnce {
		s.begin = tea.Batch(s.begin, s.handIn(last))
	}
	if st.Folder != "" {
		s.path.Set("")
		s.begin = s.handIn(st.File(l))
	}
	return s
}

func (s *handInScreen) Title() string { return s.lesson.Title + ": hand in" }

var handInKeys = keyTable{
	{open, []string{"enter"}, "enter", "hand in", "hand in the chosen file, or open the chosen folder"},
	{complete, []string{"tab"}, "tab", "complete", "write the chosen name into the path"},
	{goUp, []string{"up"}, "up", "", "one name up"},
	{goDown, []string{"down"}, "down", "choose", "one name down"},
	{nothing, []string{"ctrl+u"}, "ctrl+u", "", "clear the path"},
	{nothing, nil, "letters", "", "type the path of the file; ~ is your own folder, .. the one above"},
	leaving,
}

func (s *handInScreen) Keys() keyTable {
	if s.seat.Folder != "" {
		return keyTable{leaving}
	}
	return handInKeys
}

// What the commands of this screen bring back.
type (
	folderRead struct {
		folder string
		files  []string
		err    error
	}
	graded struct {
		outcome *seat.Outcome
		err     error
	}
)

// Begin reads the folder of the last program, at first the one that posework was
// started in.
func (s *handInScreen) Begin() tea.Cmd { return s.begin }

// readFolder lists the folders and programs in a folder. "" is the current one.
func readFolder(folder string) tea.Cmd {
	return func() tea.Msg {
		entries, err := os.ReadDir(seat.Expand(folder))
		if err != nil {
			return folderRead{folder: folder, err: err}
		}
		var folders, files []string
		for _, e := range entries {
			info, err := os.Stat(filepath.Join(seat.Expand(folder), e.Name())) // follows links
			switch ext := strings.ToLower(filepath.Ext(e.Name())); {
			case err != nil:
			case info.IsDir():
				folders = append(folders, e.Name()+"/")
			case ext == ".yaml" || ext == ".yml":
				files = append(files, e.Name())
			}
		}
		return folderRead{folder: folder, files: append(folders, files...)}
	}
}

// split parts the typed path into the folder, with its slash, and the rest.
func split(path string) (folder, rest string) {
	i := strings.LastIndexByte(path, '/')
	return path[:i+1], path[i+1:]
}

// matches are the names in the folder that begin as typed. Hidden ones are
// shown when asked for by their dot.
func (s *handInScreen) matches() []string {
	folder, rest := split(s.path.Value())
	if folder != s.folder {
		return nil
	}
	var list []string
	for _, name := range s.files {
		hidden := strings.HasPrefix(name, ".") && !strings.HasPrefix(rest, ".")
		if !hidden && strings.HasPrefix(strings.ToLower(name), strings.ToLower(rest)) {
			list = append(list, name)
		}
	}
	return list
}

func (s *handInScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	switch msg := msg.(type) {
	case folderRead:
		if folder, _ := split(s.path.Value()); msg.folder == folder {
			s.folder, s.files = msg.folder, msg.files
			s.chosen = max(0, slices.Index(s.matches(), s.last))
			s.last = ""
			if msg.err != nil {
				s.wrong = "this folder can't be read: " + diag.Reason(msg.err).Error()
			}
		}
	case graded:
		if s.busy == "" {
			return s, nil
		}
		s.busy = ""
		if msg.outcome == nil {
			s.wrong = msg.err.Error()
			return s, nil
		}
		cmds := []tea.Cmd{send(openFindings{msg.outcome})}
		if msg.err != nil {
			cmds = append(cmds, send(say{msg.err.Error()}))
		}
		return s, tea.Sequence(cmds...)
	case spinner.TickMsg:
		if s.busy == "" {
			return s, nil // an idle screen does not tick
		}
		var cmd tea.Cmd
		s.wheel, cmd = s.wheel.Update(msg)
		return s, cmd
	case tea.KeyMsg:
		return s.key(msg)
	}
	return s, nil
}

func (s *handInScreen) key(msg tea.KeyMsg) (screen, tea.Cmd) {
	if s.busy != "" {
		return s, nil
	}
	list := s.matches()
	switch s.Keys().match(msg.String()) {
	case leave:
		return s, send(goBack{})
	case goUp:
		s.chosen = max(0, s.chosen-1)
		return s, nil
	case goDown:
		s.chosen = max(0, min(len(list)-1, s.chosen+1))
		return s, nil
	case complete:
		return s, s.take(list)
	case open:
		cmd := s.take(list)
		path := s.path.Value()
		if path == "" {
			s.wrong = "type the path of a program file, or choose one"
			return s, nil
		}
		if strings.HasSuffix(path, "/") {
			return s, cmd
		}
		return s, s.handIn(path)
	}
	if s.seat.Folder != "" || !s.path.Key(msg) {
		return s, nil
	}
	s.wrong, s.chosen = "", 0
	return s, s.follow()
}

// take writes the chosen name into the path. Without one the path stays.
func (s *handInScreen) take(list []string) tea.Cmd {
	if s.chosen >= len(list) {
		return nil
	}
	folder, _ := split(s.path.Value())
	s.path.Set(folder + list[s.chosen])
	s.chosen = 0
	return s.follow()
}

// follow reads the folder of the path when it is another one than before.
func (s *handInScreen) follow() tea.Cmd {
	if folder, _ := split(s.path.Value()); folder != s.folder {
		return readFolder(folder)
	}
	return nil
}

func (s *handInScreen) handIn(path string) tea.Cmd {
	s.busy, s.wrong = path, ""
	return tea.Batch(s.wheel.Tick, grade(s.ctx, s.seat, s.lesson, seat.Expand(path)))
}

// grade hands a program in.
func grade(ctx context.Context, st *seat.Seat, l *lessons.Lesson, file string) tea.Cmd {
	return func() tea.Msg {
		o, err := st.HandIn(ctx, l, file)
		return graded{o, err}
	}
}

func (s *handInScreen) View(t *Theme, width, height int) string {
	lines := []string{
		"",
		" " + t.heading("Your program file"),
		"",
		" Path: " + s.path.View(t, width-8),
		"",
	}
	if s.seat.Folder != "" {
		lines = lines[:3]
	}
	switch {
	case s.busy != "":
		return strings.Join(append(lines, " "+s.wheel.View()+" Running "+diag.Visible(filepath.Base(s.busy))+" and examining the whole motion"), "\n")
	case s.wrong != "":
		lines = append(lines, " "+t.Bad.Render("Not handed in: ")+diag.Visible(s.wrong), "")
		if s.seat.Folder != "" {
			return strings.Join(lines, "\n")
		}
	default:
		lines = append(lines,
			" Write it at the bench, or with an editor of your own, and save it as .yaml.", "",
			" Folders and programs here:", "")
	}
	list := s.matches()
	rows := max(1, height-len(lines))
	if len(list) == 0 {
		none := "   none that begins like this"
		if _, rest := split(s.path.Value()); rest == "" {
			none = "   none"
		}
		lines = append(lines, t.Faint.Render(none))
	}
	first := window(0, s.chosen, len(list), rows)
	for i := first; i < min(len(list), first+rows); i++ {
		line := " " + t.point(i == s.chosen) + diag.Visible(list[i])
		if i == s.chosen {
			line = t.Chosen.Render(line)
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}
