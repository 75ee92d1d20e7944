package tui

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"posework/engine/diag"
	"posework/grader/quiz"
	"posework/grader/report"
)

// answering is one question that is being asked: where the pointer is and what was
// chosen or typed so far. The screens that ask hold one.
type answering struct {
	sheet  *quiz.Sheet
	chosen int   // option, left side or step that the pointer is on
	taken  []int // what was chosen so far, in the order of choosing (Match: by left side, -1 for none)
	text   field
	wrong  string // why the answer can't be read
}

func newAnswering(sheet *quiz.Sheet) answering {
	q := answering{sheet: sheet, text: field{most: 40}}
	if sheet.Question.Kind == quiz.Match {
		q.taken = slices.Repeat([]int{-1}, len(sheet.Options))
	}
	return q
}

// key takes a key, and reports whether the answer was given with it.
func (q *answering) key(msg tea.KeyMsg) (a quiz.Answer, given bool) {
	q.wrong = ""
	do := q.keys().match(msg.String())
	if do == open {
		return q.answer()
	}
	if q.sheet.Question.Kind == quiz.Number {
		q.text.Key(msg)
		return a, false
	}
	switch do {
	case goUp:
		q.chosen = max(0, q.chosen-1)
	case goDown:
		q.chosen = min(len(q.sheet.Options)-1, q.chosen+1)
	case toggle:
		q.toggle(q.chosen)
	case erase:
		if n := len(q.taken); n > 0 && q.sheet.Question.Kind != quiz.Match {
			q.taken = q.taken[:n-1]
		} else if n > 0 {
			q.taken[q.chosen] = -1
		}
	default:
		// A letter is the option, wherever the pointer is.
		if name := msg.String(); len(name) == 1 && q.sheet.Question.Kind != quiz.Spot {
			if i := int(name[0] - 'a'); name[0] >= 'a' && i < len(q.sheet.Options) {
				q.letter(i)
			}
		}
	}
	return a, false
}

// letter takes the letter of an option.
func (q *answering) letter(i int) {
	if q.sheet.Question.Kind == quiz.Match {
		// One partner has one left side: it changes over from another.
		if before := slices.Index(q.taken, i); before >= 0 {
			q.taken[before] = -1
		}
		q.taken[q.chosen] = i
		q.chosen = min(len(q.sheet.Options)-1, q.chosen+1)
		return
	}
	q.chosen = i
	q.toggle(i)
}

// toggle takes an option, or lays it back.
func (q *answering) toggle(i int) {
	switch q.sheet.Question.Kind {
	case quiz.One:
		q.taken = []int{i}
	case quiz.Match:
		// Pairs are made by letters.
	default:
		if at := slices.Index(q.taken, i); at >= 0 {
			q.taken = slices.Delete(q.taken, at, at+1)
		} else {
			q.taken = append(q.taken, i)
		}
	}
}

// answer is what was chosen or typed, if it is an answer.
func (q *answering) answer() (a quiz.Answer, given bool) {
	switch kind := q.sheet.Question.Kind; kind {
	case quiz.Number:
		var err error
		if a, err = q.sheet.Parse(q.text.Value()); err != nil {
			q.wrong = err.Error()
		}
	case quiz.One:
		// Enter alone takes the option that the pointer is on.
		a.Choice = []int{q.chosen}
	default:
		a.Choice = slices.Clone(q.taken)
		switch {
		case kind == quiz.Match && slices.Contains(a.Choice, -1):
			q.wrong = "give every line its letter first"
		case kind == quiz.Order && len(a.Choice) < len(q.sheet.Options):
			q.wrong = "put every item in its place first"
		case len(a.Choice) == 0:
			q.wrong = "mark what applies with the space bar first"
		}
	}
	return a, q.wrong == ""
}

// keys are those that answer this kind of question.
func (q *answering) keys() keyTable {
	enter := key{open, []string{"enter"}, "enter", "answer", "give the answer"}
	t := slices.Concat(keyTable{enter}, upDown)
	letters := func(short, long string) key { return key{nothing, nil, "letters", short, long} }
	switch q.sheet.Question.Kind {
	case quiz.Number:
		return keyTable{enter, {nothing, nil, "digits", "", "type the number; the unit may follow"}}
	case quiz.One:
		t = append(t, letters("choose", "choose the option with that letter"))
	case quiz.Many:
		t = append(t, key{toggle, []string{" "}, "space", "mark", "mark the option that applies, or take the mark away"}, letters("mark", "mark the option with that letter"))
	case quiz.Order:
		t = append(t, letters("put next", "put the item with that letter next, or take it back"),
			key{toggle, []string{" "}, "space", "", "put the item at the pointer next, or take it back"},
			key{erase, []string{"backspace"}, "backspace", "take back", "take the last item back"})
	case quiz.Match:
		t = append(t, letters("match", "give the line at the pointer its letter"),
			key{erase, []string{"backspace"}, "backspace", "", "take the letter of the line back"})
	case quiz.Spot:
		t = append(t, key{toggle, []string{" "}, "space", "mark", "mark the step as unsafe, or take the mark away"})
		t[2].short = "choose"
	}
	return t
}

// asked draws what is asked, below a line that says where in the round it stands.
func asked(t *Theme, sheet *quiz.Sheet, place string, width int) []string {
	lines := []string{t.Faint.Render(place), ""}
	for _, line := range strings.Split(report.Wrap(sheet.Ask, "", width-2), "\n") {
		lines = append(lines, " "+t.Title.Render(line))
	}
	return append(lines, "")
}

func (q *answering) view(t *Theme, place string, width, height int) string {
	lines := asked(t, q.sheet, place, width)
	var answer []string
	var at int // line of the chosen option
	switch q.sheet.Question.Kind {
	case quiz.Number:
		unit := ""
		if !strings.ContainsFunc(q.text.Value(), unicode.IsLetter) { // else it was typed
			unit = " " + q.sheet.Question.Unit
		}
		answer = []string{"   " + q.text.View(t, 42) + t.Faint.Render(unit)}
	case quiz.Spot:
		answer, at = q.program(t)
	case quiz.Match:
		answer, at = q.pairs(t, width)
	default:
		answer, at = q.options(t, width)
	}
	foot := []string{"", " " + t.Faint.Render("Answer: "+q.how())}
	if q.wrong != "" {
		foot[1] = " " + t.Warn.Render(q.wrong)
	}
	rows := max(1, height-len(lines)-len(foot))
	first := window(0, min(at+1, len(answer)-1), len(answer), rows) // the line after the chosen one stays in sight
	if below := len(answer) - first - rows; below > 0 && q.wrong == "" {
		foot[1] += t.Faint.Render(fmt.Sprintf(" (%s below)", diag.Count(below, "more line", "more lines")))
	}
	lines = append(lines, answer[first:min(len(answer), first+rows)]...)
	return strings.Join(append(lines, foot...), "\n")
}

// how says how the question is answered on a screen.
func (q *answering) how() string {
	switch q.sheet.Question.Kind {
	case quiz.One:
		return "choose one, then enter"
	case quiz.Many:
		return "mark all that apply, then enter"
	case quiz.Order:
		return "press the letters in the right order, then enter"
	case quiz.Match:
		return "give each line the letter of its partner below, then enter"
	case quiz.Spot:
		return "mark every unsafe step, then enter"
	}
	return "type " + q.sheet.Hint() + ", then enter"
}

func letter(i int) string { return string(rune('a' + i)) }

// options draws the options of One, Many and Order, and tells the line of the
// chosen one.
func (q *answering) options(t *Theme, width int) (lines []string, at int) {
	for i, option := range q.sheet.Options {
		mark := ""
		switch q.sheet.Question.Kind {
		case quiz.Many:
			mark = t.Markers.Off + " "
			if slices.Contains(q.taken, i) {
				mark = t.Markers.On + " "
			}
		case quiz.Order:
			mark = "    "
			if place := slices.Index(q.taken, i); place >= 0 {
				mark = fmt.Sprintf("%2d. ", place+1)
			}
		}
		head := " " + t.point(i == q.chosen) + mark + letter(i) + " "
		text := strings.Split(bullet(head, option, width), "\n")
		if i == q.chosen {
			at = len(lines)
			for k := range text {
				text[k] = t.Chosen.Render(text[k])
			}
		}
		lines = append(lines, text...)
	}
	return lines, at
}

// pairs draws the left sides with the letters that they were given, and the
// right sides below.
func (q *answering) pairs(t *Theme, width int) (lines []string, at int) {
	for i, left := range q.sheet.Options {
		given := "_"
		if q.taken[i] >= 0 {
			given = letter(q.taken[i])
		}
		line := fmt.Sprintf(" %s%s  %s", t.point(i == q.chosen), given, left)
		if i == q.chosen {
			at = len(lines)
			line = t.Chosen.Render(line)
		}
		lines = append(lines, line)
	}
	lines = append(lines, "")
	for i, right := range q.sheet.Partners {
		lines = append(lines, strings.Split(bullet("     "+letter(i)+" ", right, width), "\n")...)
	}
	return lines, at
}

// program draws the program of a Spot question with its steps to mark, and tells
// the line of the chosen one.
func (q *answering) program(t *Theme) (lines []string, at int) {
	for n, text := range strings.Split(strings.TrimRight(q.sheet.Question.Program, "\n"), "\n") {
		i := slices.Index(q.sheet.Lines, n+1)
		if i < 0 {
			lines = append(lines, t.Faint.Render("       "+printable(text)))
			continue
		}
		mark := t.Markers.Off
		if slices.Contains(q.taken, i) {
			mark = t.Markers.On
		}
		line := " " + t.point(i == q.chosen) + mark + " " + printable(text)
		if i == q.chosen {
			at = n
			line = t.Chosen.Render(line)
		}
		lines = append(lines, line)
	}
	return lines, at
}

// answered draws the question with its verdict, the right answer and why.
func answered(t *Theme, sheet *quiz.Sheet, v *quiz.Verdict, place string, width int) string {
	lines := asked(t, sheet, place, width)
	add := func(text string) { lines = append(lines, strings.Split(report.Wrap(text, " ", width), "\n")...) }
	if v.Right {
		lines = append(lines, " "+t.Good.Render("Right."))
	} else {
		lines = append(lines, " "+t.Bad.Render("Not right."))
		if len(v.Wants) > 1 {
			lines = append(lines, " Right is:")
		} else {
			add("You answered: " + v.Given)
			add("Right is: " + v.Want)
		}
	}
	if len(v.Wants) > 1 {
		for i, part := range v.Wants {
			mark := " " + t.Dot
			if sheet.Question.Kind == quiz.Order {
				mark = fmt.Sprintf(" %d.", i+1)
			}
			lines = append(lines, strings.Split(bullet(mark, part, width), "\n")...)
		}
	} else if v.Right {
		add(v.Want)
	}
	for _, note := range v.Notes {
		lines = append(lines, strings.Split(bullet(" "+t.Dot, note, width), "\n")...)
	}
	lines = append(lines, "")
	add(sheet.Because)
	lines = append(lines, "")
	for _, line := range strings.Split(report.Wrap(sourceLine(sheet.Question), " ", width), "\n") {
		lines = append(lines, t.Faint.Render(line))
	}
	return strings.Join(lines, "\n")
}

// sourceLine names where an answer comes from.
func sourceLine(q *quiz.Question) string { return "Source: " + strings.TrimSuffix(q.Source, ".") + "." }

// untold draws what is wrong with questions that can't be asked.
func untold(t *Theme, trouble diag.List, width int) string {
	lines := []string{"", " " + t.Bad.Render("These questions can't be asked."), ""}
	for _, d := range trouble {
		lines = append(lines, report.Wrap(d.String(), " ", width))
	}
	return strings.Join(lines, "\n")
}
