package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"posework/cmd/posework/internal/bench"
	"posework/engine/diag"
	"posework/engine/program"
)

// question is something that a screen asks at its foot: a line to type, or yes.
type question struct {
	text  string
	typed *field // nil: y or not
	keys  keyTable
	yes   func(answer string) tea.Cmd
	no    func()
}

var typingKeys = keyTable{
	{open, []string{"enter"}, "enter", "take it", "take what is typed"},
	{leave, []string{"esc"}, "esc", "leave it", "leave everything as it is"},
}

func yesNo(yes string) keyTable {
	return keyTable{
		{anyway, []string{"y"}, "y", yes, yes},
		{leave, []string{"esc", "n"}, "esc", "leave it", "leave everything as it is"},
	}
}

// key takes a key. It reports whether the question is over, and what is done then.
func (q *question) key(msg tea.KeyMsg) (over bool, then func() tea.Cmd) {
	switch q.keys.match(msg.String()) {
	case open:
		return true, func() tea.Cmd { return q.yes(strings.TrimSpace(q.typed.Value())) }
	case anyway:
		return true, func() tea.Cmd { return q.yes("") }
	case leave:
		return true, func() tea.Cmd {
			if q.no != nil {
				q.no()
			}
			return nil
		}
	}
	if q.typed != nil {
		q.typed.Key(msg)
	}
	return false, nil
}

// answerTo hands a key to the question that is asked, and obeys its answer.
func answerTo(ask **question, msg tea.KeyMsg) tea.Cmd {
	over, then := (*ask).key(msg)
	if !over {
		return nil
	}
	*ask = nil
	return then()
}

// longestName is how long the name of a pose may be that is typed here.
const longestName = 40

// longestTyped is how long a list of poses may be that is typed here.
const longestTyped = 400

func typing(text, value string, yes func(string) tea.Cmd) *question {
	q := &question{text: text, typed: &field{most: longestName}, keys: typingKeys, yes: yes}
	q.typed.Set(value)
	return q
}

func recordQuestion(s *practiceScreen) *question {
	in := s.recordIn()
	how := "in " + in
	if in == bench.ByAxes {
		how = "by axes"
	}
	return typing("Record "+how+" as", s.bench.FreeName(), func(name string) tea.Cmd {
		err := s.bench.Record(name, in)
		cmd := s.changed(err)
		if err == nil {
			s.pose = len(s.bench.Program().Poses) - 1
			s.tell("recorded %s", name)
		}
		return cmd
	})
}

func teachQuestion(s *practiceScreen, tool bool) *question {
	text := "The frame's name, then three poses: origin, one along x, one in the plane (the name alone takes it back)"
	if tool {
		text = "The tool's name, then four poses or more that touch one point (the name alone takes it back)"
	}
	q := typing(text, "", func(typed string) tea.Cmd { return s.changed(s.bench.Teach(tool, typed)) })
	q.typed.most = longestTyped
	return q
}

func renameQuestion(s *practiceScreen, old string) *question {
	return typing("New name of "+old, old, func(name string) tea.Cmd { return s.changed(s.bench.Rename(old, name)) })
}

func deleteQuestion(s *practiceScreen, pose string, steps int) *question {
	return &question{
		text: fmt.Sprintf("%s is used by %s. Delete it with them?", pose, diag.Count(steps, "step", "steps")),
		keys: yesNo("delete both"),
		yes:  func(string) tea.Cmd { return s.changed(s.bench.DeleteWithSteps(pose)) },
	}
}

// changedQuestion is asked when the file on disk is no longer what was read.
func changedQuestion(s *practiceScreen) *question {
	return &question{
		text: "The file was changed by something else. Write this program over it?",
		keys: yesNo("write over it"),
		yes:  func(string) tea.Cmd { return s.save(true) },
		no: func() {
			s.tell("not saved: open the file again to see what is in it, or make another change to be asked again")
		},
	}
}

func unsavedQuestion(s *practiceScreen) *question {
	return &question{
		text: fmt.Sprintf("The last change is not saved (%v). Leave and lose it?", s.unsaved),
		keys: yesNo("leave"),
		yes:  func(string) tea.Cmd { return s.back() },
	}
}

// form edits a step field by field.
type form struct {
	at     program.At
	chosen int
	typed  *field // what is being typed; nil: choosing
}

var formKeys = keyTable{
	{goUp, []string{"up"}, "up", "", "the field before"},
	{goDown, []string{"down"}, "down", "field", "the next field"},
	{choiceDown, []string{"left"}, "left", "", "the choice before"},
	{choiceUp, []string{"right"}, "right", "choose", "the next choice"},
	{nothing, nil, "digits", "", "type a number instead, where the field is one; enter takes it"},
	{undoChange, []string{"u"}, "u", "undo", "take the last change back"},
	{open, []string{"enter"}, "enter", "done", "take what is typed; else back to the list"},
	{leave, []string{"esc"}, "esc", "done", "back to the list"},
}

func (s *practiceScreen) formKey(msg tea.KeyMsg) tea.Cmd {
	fields := s.bench.Fields(s.form.at)
	if len(fields) == 0 {
		s.form = nil
		return nil
	}
	s.form.chosen = min(s.form.chosen, len(fields)-1)
	f := &fields[s.form.chosen]
	name := msg.String()
	if t := s.form.typed; t != nil {
		switch name {
		case "enter":
			s.form.typed = nil
			return s.changed(s.bench.SetField(s.form.at, f, t.Value()))
		case "esc":
			s.form.typed = nil
		default:
			t.Key(msg)
		}
		return nil
	}
	switch formKeys.match(name) {
	case goUp:
		s.form.chosen = max(0, s.form.chosen-1)
	case goDown:
		s.form.chosen = min(len(fields)-1, s.form.chosen+1)
	case choiceDown:
		return s.setField(f, f.Next(-1))
	case choiceUp:
		return s.setField(f, f.Next(1))
	case undoChange:
		return s.changed(s.bench.Undo())
	case open, leave:
		s.form = nil
	default:
		if f.Typed && len(msg.Runes) == 1 && strings.ContainsRune("0123456789.-", msg.Runes[0]) {
			s.form.typed = &field{most: 20}
			s.form.typed.Key(msg)
		}
	}
	return nil
}

func (s *practiceScreen) setField(f *bench.Field, value string) tea.Cmd {
	if value == f.Value {
		return nil
	}
	return s.changed(s.bench.SetField(s.form.at, f, value))
}

var kindKeys = keyTable{
	{goUp, []string{"up"}, "up", "", "one kind up"},
	{goDown, []string{"down"}, "down", "choose", "one kind down"},
	{open, []string{"enter"}, "enter", "add", "add a step of this kind and edit it"},
	{leave, []string{"esc"}, "esc", "leave it", "add nothing"},
}

func (s *practiceScreen) kindKey(msg tea.KeyMsg) tea.Cmd {
	switch kindKeys.match(msg.String()) {
	case goUp:
		s.kind = max(0, s.kind-1)
	case goDown:
		s.kind = min(len(bench.Kinds())-1, s.kind+1)
	case leave:
		s.kind = -1
	case open:
		kind := s.kind
		s.kind = -1
		pose := ""
		if poses := s.bench.Program().Poses; s.pose < len(poses) {
			pose = poses[s.pose].Name
		}
		step, err := s.bench.Fresh(kind, pose)
		if err != nil {
			s.refuse(err)
			return nil
		}
		at := s.placeAfter()
		if row, ok := s.chosenStep(); ok && s.hold {
			at = bench.Within(row.At)
		}
		err = s.bench.Insert(at, step)
		cmd := s.inserted(at, err)
		if err == nil {
			s.form = &form{at: at}
		}
		return cmd
	}
	return nil
}
