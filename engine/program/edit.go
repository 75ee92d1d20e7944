package program

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"posework/engine/diag"
	"posework/engine/source"
)

// File is a program file under edit: its text, and the program that the text
// says. It is immutable: every edit returns a new File or an error, so that an
// older one undoes it. Text that an edit does not concern keeps every byte.
type File struct {
	bom  bool
	page *page
	prog *Program
}

// Open reads a program file for editing. Unlike [Read] it takes a program that
// has no steps yet.
func Open(name string, data []byte) (*File, diag.List) {
	rest, bom := bytes.CutPrefix(data, []byte("\ufeff"))
	var l diag.List
	p := newPage(name, slices.Clone(rest), &l)
	f := &File{bom: bom, page: p, prog: Decode(p.root, &l)}
	l = slices.DeleteFunc(l, func(d diag.Diagnostic) bool { return d.Code == noSteps })
	l.Sort()
	if len(l) > 0 {
		return nil, l
	}
	return f, nil
}

// New returns a file with a title and nothing else.
func New(name, title string) *File {
	f, l := Open(name, Format(&Program{Title: title}))
	if len(l) > 0 {
		panic("program: " + l.Error()) // Format writes what Open reads
	}
	return f
}

// Bytes returns the text of the file.
func (f *File) Bytes() []byte {
	if f.bom {
		return append([]byte("\ufeff"), f.page.text...)
	}
	return slices.Clone(f.page.text)
}

// Program returns the program that the text says. It may have no steps.
func (f *File) Program() *Program { return f.prog }

// then turns an edited page into a file, which must be a sound program again.
func (f *File) then(p *page, err error) (*File, error) {
	if err != nil {
		return nil, err
	}
	next, l := Open(p.name, p.text)
	if err := l.Err(); err != nil {
		return nil, err
	}
	next.bom = f.bom
	return next, nil
}

// rootKeys is the order of the keys of a program file.
var rootKeys = []string{"posework", "title", "tool", "poses", "frames", "tools", "steps", "routines"}

// SetTitle sets the title; an empty one is deleted.
func (f *File) SetTitle(title string) (*File, error) { return f.setKey("title", title, text(title)) }

// SetTool sets the tool that the program begins with; an empty one is deleted.
func (f *File) SetTool(tool string) (*File, error) { return f.setKey("tool", tool, name(tool)) }

func (f *File) setKey(key, raw, written string) (*File, error) {
	if raw == "" {
		return f.then(f.page.drop(top, key))
	}
	return f.then(f.page.put(top, key, value{flow: written}, rootKeys))
}

// PutPose adds a pose, or gives the pose of that name new values.
func (f *File) PutPose(p *Pose) (*File, error) {
	i := slices.IndexFunc(f.prog.Poses, func(q Pose) bool { return q.Name == p.Name })
	var old []field
	if i >= 0 {
		old = poseFields(&f.prog.Poses[i])
	}
	return f.putEntry("poses", p.Name, i >= 0, old, poseFields(p))
}

// PutFrame adds a taught frame, or teaches the frame of that name anew.
func (f *File) PutFrame(t *TaughtFrame) (*File, error) {
	i := slices.IndexFunc(f.prog.Frames, func(q TaughtFrame) bool { return q.Name == t.Name })
	var old []field
	if i >= 0 {
		old = frameFields(&f.prog.Frames[i])
	}
	return f.putEntry("frames", t.Name, i >= 0, old, frameFields(t))
}

// PutTool adds a taught tool, or teaches the tool of that name anew.
func (f *File) PutTool(t *TaughtTool) (*File, error) {
	i := slices.IndexFunc(f.prog.Tools, func(q TaughtTool) bool { return q.Name == t.Name })
	var old []field
	if i >= 0 {
		old = toolFields(&f.prog.Tools[i])
	}
	return f.putEntry("tools", t.Name, i >= 0, old, toolFields(t))
}

func (f *File) putEntry(section, key string, exists bool, old, new []field) (*File, error) {
	at := finder(top).child(section)
	switch {
	case exists:
		return f.then(f.page.patch(at.child(key), old, new))
	case at(f.page.root) == nil:
		return f.then(f.page.put(top, section, value{
			flow:  flowMap([]field{{name(key), flowMap(new)}}),
			block: func(col int) string { return "\n" + strings.Repeat(" ", col) + name(key) + ": " + flowMap(new) },
		}, rootKeys))
	}
	return f.then(f.page.put(at, key, value{flow: flowMap(new)}, nil))
}

// DeletePose deletes a pose that nothing uses.
func (f *File) DeletePose(pose string) (*File, error) {
	if !slices.ContainsFunc(f.prog.Poses, func(p Pose) bool { return p.Name == pose }) {
		return nil, fmt.Errorf("no pose is named %q", pose)
	}
	for _, use := range f.prog.poseUses() {
		if use.Name == pose {
			return nil, fmt.Errorf("the pose %s is used in line %d", pose, use.Pos.Line)
		}
	}
	return f.deleteEntry("poses", pose, len(f.prog.Poses))
}

// DeleteFrame deletes a taught frame. Poses in it are then in the cell's frame
// of that name, if there is one.
func (f *File) DeleteFrame(frame string) (*File, error) {
	if !slices.ContainsFunc(f.prog.Frames, func(t TaughtFrame) bool { return t.Name == frame }) {
		return nil, fmt.Errorf("no frame named %q is taught here", frame)
	}
	return f.deleteEntry("frames", frame, len(f.prog.Frames))
}

// DeleteTool deletes a taught tool.
func (f *File) DeleteTool(tool string) (*File, error) {
	if !slices.ContainsFunc(f.prog.Tools, func(t TaughtTool) bool { return t.Name == tool }) {
		return nil, fmt.Errorf("no tool named %q is taught here", tool)
	}
	return f.deleteEntry("tools", tool, len(f.prog.Tools))
}

func (f *File) deleteEntry(section, key string, entries int) (*File, error) {
	if entries == 1 {
		return f.then(f.page.drop(top, section))
	}
	return f.then(f.page.drop(finder(top).child(section), key))
}

// RenamePose gives a pose another name wherever it stands.
func (f *File) RenamePose(old, new string) (*File, error) {
	if old == new {
		return f, nil
	}
	if slices.ContainsFunc(f.prog.Poses, func(p Pose) bool { return p.Name == new }) {
		return nil, fmt.Errorf("a pose is named %q already", new)
	}
	i := slices.IndexFunc(f.prog.Poses, func(p Pose) bool { return p.Name == old })
	if i < 0 {
		return nil, fmt.Errorf("no pose is named %q", old)
	}
	places := map[diag.Pos]bool{f.prog.Poses[i].Pos: true}
	for _, use := range f.prog.poseUses() {
		if use.Name == old {
			places[use.Pos] = true
		}
	}
	var edits []splice
	walk(f.page.root, func(n *source.Node) {
		if places[n.Pos()] && n.Kind() == source.Scalar {
			s := spanOf(n)
			edits = append(edits, splice{s.from, s.to, name(new)})
		}
	})
	return f.then(f.page.with(edits...))
}

// walk visits a node and all below it, keys included.
func walk(n *source.Node, visit func(*source.Node)) {
	visit(n)
	switch n.Kind() {
	case source.Mapping:
		for _, e := range entries(n) {
			visit(e.KeyNode)
			walk(e.Value, visit)
		}
	case source.Sequence:
		for _, item := range n.List() {
			walk(item, visit)
		}
	}
}

// poseUses returns every place that names a pose.
func (p *Program) poseUses() []Ref {
	var uses []Ref
	for i := range p.Frames {
		uses = append(uses, p.Frames[i].Origin, p.Frames[i].AlongX, p.Frames[i].InPlan)
	}
	for i := range p.Tools {
		uses = append(uses, p.Tools[i].Touches...)
	}
	uses = stepUses(uses, p.Steps)
	for i := range p.Routines {
		uses = stepUses(uses, p.Routines[i].Steps)
	}
	return uses
}

func stepUses(uses []Ref, steps []Step) []Ref {
	for i := range steps {
		switch s := &steps[i]; {
		case s.Kind == Repeat:
			uses = stepUses(uses, s.Steps)
		case s.Kind == Move && s.Path == Arc:
			uses = append(uses, s.To, s.Through)
		case s.Kind == Move:
			uses = append(uses, s.To)
		}
	}
	return uses
}

// errNoStep is returned for a place where no step stands.
var errNoStep = errors.New("no step stands there")
