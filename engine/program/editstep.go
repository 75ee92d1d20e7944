package program

import (
	"errors"
	"slices"
	"strings"

	"posework/engine/source"
)

// At is the place of a step: the routine ("" for the program itself) and its
// index from 0; each further index counts the steps of the repeat that the one
// before it leads to.
type At struct {
	Routine string
	Index   []int
}

// place is where the list that holds a step stands.
type place struct {
	list   finder
	key    *source.Node // the key that the list is the value of
	inFlow bool         // the list stands within brackets
	steps  []Step
	i      int
}

// find leads to the list of a step. The index may be that of the end.
func (f *File) find(at At) (place, error) {
	if len(at.Index) == 0 {
		return place{}, errNoStep
	}
	p := place{list: finder(top).child("steps"), steps: f.prog.Steps, inFlow: f.page.root.Flow()}
	parent, key := finder(top), "steps"
	if at.Routine != "" {
		i := slices.IndexFunc(f.prog.Routines, func(r Routine) bool { return r.Name == at.Routine })
		if i < 0 {
			return place{}, errNoStep
		}
		parent, key = parent.child("routines"), at.Routine
		p.list, p.steps = parent.child(key), f.prog.Routines[i].Steps
		p.inFlow = p.inFlow || parent(f.page.root).Flow()
	}
	for _, i := range at.Index[:len(at.Index)-1] {
		if i < 0 || i >= len(p.steps) || p.steps[i].Kind != Repeat {
			return place{}, errNoStep
		}
		list := p.list
		parent = func(root *source.Node) *source.Node { return list(root).List()[i] }
		p.inFlow = p.inFlow || list(f.page.root).Flow() || parent(f.page.root).Flow()
		key = "steps"
		p.list, p.steps = parent.child(key), p.steps[i].Steps
	}
	for _, e := range entries(parent(f.page.root)) {
		if e.Key == key {
			p.key = e.KeyNode
		}
	}
	p.i = at.Index[len(at.Index)-1]
	if p.i < 0 || p.i > len(p.steps) {
		return place{}, errNoStep
	}
	return p, nil
}

// Step returns the step at a place, nil where none stands.
func (f *File) Step(at At) *Step {
	p, err := f.find(at)
	if err != nil || p.i == len(p.steps) {
		return nil
	}
	return &p.steps[p.i]
}

// InsertStep puts a step before the one that stands at a place; the index past
// the last step appends.
func (f *File) InsertStep(at At, s *Step) (*File, error) {
	p, err := f.find(at)
	if err != nil {
		return nil, err
	}
	return f.then(f.page.insert(p, flowStep(s), func(col int) string { return strings.Repeat(" ", col) + "- " + blockStep(s, col+2) }))
}

// ReplaceStep gives the step at a place new values. Of a step of the same kind
// only what differs is written anew; the steps of a repeat stay as they are, and
// are edited at their own places.
func (f *File) ReplaceStep(at At, s *Step) (*File, error) {
	p, err := f.find(at)
	if err != nil {
		return nil, err
	}
	if p.i == len(p.steps) {
		return nil, errNoStep
	}
	item := finder(func(root *source.Node) *source.Node { return p.list(root).List()[p.i] })
	if old := &p.steps[p.i]; old.Kind == s.Kind {
		return f.then(f.page.patch(item, stepFields(old), stepFields(s)))
	}
	span, written := spanOf(item(f.page.root)), flowStep(s)
	if !p.inFlow && !p.list(f.page.root).Flow() {
		written = blockStep(s, item(f.page.root).Pos().Column-1)
	}
	return f.then(f.page.with(splice{span.from, span.to, written}))
}

// DeleteStep deletes a step with the comment on its line; comment lines above it
// stay.
func (f *File) DeleteStep(at At) (*File, error) {
	p, err := f.find(at)
	if err != nil {
		return nil, err
	}
	if p.i == len(p.steps) {
		return nil, errNoStep
	}
	return f.then(f.page.remove(p, false))
}

// MoveStep takes the step at from, with its comments, and puts it before the one
// that stands at to; both places are counted before the move.
func (f *File) MoveStep(from, to At) (*File, error) {
	src, err := f.find(from)
	if err != nil {
		return nil, err
	}
	if src.i == len(src.steps) {
		return nil, errNoStep
	}
	dst, err := f.find(to)
	if err != nil {
		return nil, err
	}
	depth, same := len(to.Index), from.Routine == to.Routine
	if same && depth > len(from.Index) && slices.Equal(from.Index, to.Index[:len(from.Index)]) {
		return nil, errors.New("a repeat can't be moved into itself")
	}
	if same && depth == len(from.Index) && slices.Equal(from.Index[:depth-1], to.Index[:depth-1]) {
		if d := to.Index[depth-1] - from.Index[depth-1]; d == 0 || d == 1 {
			return f, nil
		}
	}
	p, err := f.page.insertMoved(src, dst)
	if err != nil {
		return nil, err
	}
	// The insertion may have moved the step that is now to be deleted.
	from.Index = slices.Clone(from.Index)
	if same && depth <= len(from.Index) && slices.Equal(from.Index[:depth-1], to.Index[:depth-1]) && to.Index[depth-1] <= from.Index[depth-1] {
		from.Index[depth-1]++
	}
	mid, err := f.then(p, nil)
	if err != nil {
		return nil, err
	}
	if src, err = mid.find(from); err != nil {
		return nil, err
	}
	return mid.then(mid.page.remove(src, true))
}

// insertMoved writes the step at src before the one at dst: its own lines where
// it stands in a list by indentation.
func (p *page) insertMoved(src, dst place) (*page, error) {
	s, from := &src.steps[src.i], src.list(p.root)
	if from.Flow() {
		return p.insert(dst, flowStep(s), func(col int) string { return strings.Repeat(" ", col) + "- " + blockStep(s, col+2) })
	}
	head, _, end := p.item(from, src.i)
	lines := strings.ReplaceAll(string(p.text[head:end]), "\r\n", "\n")
	return p.insert(dst, flowStep(s), func(c int) string { return shift(lines, c-col(from)) })
}

// shift indents lines deeper by a number of spaces, or less deeply for a
// negative one.
func shift(text string, by int) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		rest := strings.TrimLeft(line, " ")
		if rest != "" {
			lines[i] = strings.Repeat(" ", max(len(line)-len(rest)+by, 0)) + rest
		}
	}
	return strings.Join(lines, "\n")
}
