package cell

import (
	"errors"
	"io/fs"
	"path"
	"slices"
	"sync"

	"posework/engine/diag"
	"posework/engine/source"
	"posework/kin"
)

// Options is what reading a cell needs beside its text.
type Options struct {
	ID string // of the cell; see [Cell.ID]
	// FS holds the course: the files that a cell may name. Nothing outside it is
	// read. A nil FS holds no files.
	FS fs.FS
	// Dir is the folder of the text that holds the cell, in FS: names of files
	// are relative to it.
	Dir string
	// Parsed keeps the cell files that were used, for many cells that use the
	// same ones; nil: each is parsed anew.
	Parsed *Parsed
	// Changes are made before anything is placed, for variants of a cell.
	Changes []Change
}

// Parsed keeps cell files that were parsed without a mistake, by their paths in
// one file system. The zero value holds none; it is safe for concurrent use.
type Parsed struct {
	mu    sync.Mutex
	trees map[string]*source.Node // not read; copies of them are
}

// parse returns the tree of a cell file, nil when it can't be read.
func (o *Options) parse(n *source.Node, name, file string) *source.Node {
	l := n.Reports()
	if o.Parsed != nil {
		o.Parsed.mu.Lock()
		defer o.Parsed.mu.Unlock()
		if tree := o.Parsed.trees[file]; tree != nil {
			return tree.Copy(l)
		}
	}
	data, err := read(*o, file, source.MaxBytes)
	if err != nil {
		n.Errorf("C001", "check its name", "the cell %q can't be used: %s", name, err)
		return nil
	}
	before := len(*l)
	tree := source.Parse(file, data, 1, l)
	if o.Parsed != nil && tree != nil && len(*l) == before {
		if o.Parsed.trees == nil {
			o.Parsed.trees = map[string]*source.Node{}
		}
		o.Parsed.trees[file] = tree
		return tree.Copy(l)
	}
	return tree
}

// Change gives one coordinate of a frame, solid, part or zone another value. Of
// several things of one name a frame is meant first, then a solid, a part, a
// zone.
type Change struct {
	Pos   diag.Pos // where the change is written
	Name  string
	Key   string  // x, y, z, roll, pitch or yaw: of xyz and rpy as written, in the thing's own frame
	Value float64 // mm or deg
}

// Read reads a cell file: a mapping with the key cell, and optionally the mark
// "posework: cell/1". name is its path in opt.FS; opt.Dir is not used. The cell
// is nil when anything was reported.
func Read(name string, opt Options) (*Cell, diag.List) {
	var l diag.List
	data, err := read(opt, name, source.MaxBytes)
	if err != nil {
		l.Add(diag.Pos{Filename: name, Line: 1, Column: 1}, "C001", "check its name", "%s can't be read: %s", name, err)
		return nil, l
	}
	opt.Dir = path.Dir(name)
	c := Decode(body(source.Parse(name, data, 1, &l)), opt)
	l.Sort()
	if len(l) > 0 {
		return nil, l
	}
	return c, nil
}

// Decode reads a cell from the value of the key cell, in a lesson or a file of
// its own, and reports to the list that n reports to. The cell is nil when
// anything was reported on it, and for an absent value.
func Decode(n *source.Node, opt Options) *Cell {
	if n == nil {
		return nil
	}
	l := n.Reports()
	before := len(*l)
	s := newSheet(n, opt, nil)
	b := &builder{l: l, opt: opt, sheet: s, c: &Cell{ID: opt.ID, Mount: kin.IdentityPose}}
	if len(*l) == before {
		b.build()
	}
	if len(*l) > before {
		return nil
	}
	return b.c
}

func read(opt Options, name string, limit int) ([]byte, error) {
	if opt.FS == nil {
		return nil, errors.New("there is no such file")
	}
	return source.ReadFile(opt.FS, name, limit)
}

// body returns the cell in a file of its own.
func body(root *source.Node) *source.Node {
	m := root.Map()
	if m.Has("posework") {
		m.Format("cell/1")
	}
	n := m.Need("cell")
	m.Close()
	return n
}

// sheet is a cell as written, with the files that it uses worked in.
type sheet struct {
	node                              *source.Node
	arm, mount, floor, motion, events *source.Node
	armDir                            string // folder of the file that names the arm
	tools, frames, signals            []item
	solids, zones, parts              []item
}

// item is one named thing of a section.
type item struct {
	name string
	key  *source.Node // where the name stands
	node *source.Node
}

// maxUses is how many files may use each other in a row.
const maxUses = 8

// newSheet reads the keys of a cell. uses holds the files that led here.
func newSheet(n *source.Node, opt Options, uses []string) *sheet {
	m := n.Map()
	use, less := m.Get("use"), m.Get("without")
	s := used(use, opt, uses)
	if s == nil {
		s = &sheet{}
	} else {
		without(s, less)
	}
	if use == nil {
		less.Errorf("C003", "delete it", "without takes things out of the cell that is used, but there is no \"use\"")
	}
	s.node = n
	if arm := m.Get("arm"); arm != nil {
		s.arm, s.armDir = arm, opt.Dir
	}
	override(&s.mount, m.Get("mount"))
	override(&s.floor, m.Get("floor"))
	override(&s.motion, m.Get("motion"))
	override(&s.events, m.Get("events"))
	s.tools = merge(s.tools, keyed(m.Get("tools")))
	s.frames = merge(s.frames, keyed(m.Get("frames")))
	s.signals = merge(s.signals, keyed(m.Get("signals")))
	s.solids = merge(s.solids, listed(m.Get("solids")))
	s.zones = merge(s.zones, listed(m.Get("zones")))
	s.parts = merge(s.parts, listed(m.Get("parts")))
	m.Close()
	return s
}

func override(at **source.Node, n *source.Node) {
	if n != nil {
		*at = n
	}
}

// used reads the file that a cell builds on, nil when it can't be read.
func used(n *source.Node, opt Options, uses []string) *sheet {
	name := n.Str()
	if !n.OK() {
		return nil
	}
	file, err := source.Beside(opt.Dir, name)
	if err != nil {
		n.Errorf("C001", "name a file of the course, such as ../cells/soap.yaml", "the cell %q can't be used: %s", name, err)
		return nil
	}
	if slices.Contains(uses, file) {
		n.Errorf("C002", "delete this use", "the cell %q uses itself", name)
		return nil
	}
	if len(uses) == maxUses {
		n.Errorf("C002", "use a cell that stands on its own", "more than %d cells use each other in a row, the most that are read", maxUses)
		return nil
	}
	l := n.Reports()
	before := len(*l)
	base := body(opt.parse(n, name, file))
	if base == nil {
		return nil
	}
	opt.Dir = path.Dir(file)
	s := newSheet(base, opt, append(slices.Clone(uses), file))
	if len(*l) > before {
		return nil
	}
	return s
}

// without takes named things out of the cell that is built on.
func without(s *sheet, n *source.Node) {
	for _, w := range n.List() {
		name, found := w.Name(), false
		for _, section := range []*[]item{&s.tools, &s.frames, &s.signals, &s.solids, &s.zones, &s.parts} {
			if i := index(*section, name); i >= 0 {
				*section = slices.Delete(*section, i, i+1)
				found = true
			}
		}
		w.Check(found, "C003", "delete it", "the cell that is used has nothing named %q", name)
	}
}

// keyed reads a section whose names are keys.
func keyed(n *source.Node) []item {
	var all []item
	entries := n.Map().Names()
	few(n, len(entries))
	for _, e := range entries[:min(len(entries), MaxThings)] {
		all = append(all, item{e.KeyNode.Name(), e.KeyNode, e.Value})
	}
	return all
}

// listed reads a section that is a list of things with a name.
func listed(n *source.Node) []item {
	var all []item
	items := n.List()
	few(n, len(items))
	for _, v := range items[:min(len(items), MaxThings)] {
		key := v.Map().Need("name")
		it := item{key.Name(), key, v}
		if i := index(all, it.name); i >= 0 && key.OK() {
			key.Errorf("C004", "choose another name", "the name %q is taken in line %d", it.name, all[i].key.Pos().Line)
		}
		all = append(all, it)
	}
	return all
}

// few reports a section that is too long.
func few(n *source.Node, count int) {
	n.Check(count <= MaxThings, "C005", "leave some out", "%s has %d entries, but at most %d are read", n.Label(), count, MaxThings)
}

func index(items []item, name string) int {
	return slices.IndexFunc(items, func(it item) bool { return it.name == name })
}

// merge replaces the things of base that changes names again, in their places,
// and appends the others.
func merge(base, changes []item) []item {
	for _, c := range changes {
		if i := index(base, c.name); i >= 0 && c.name != "" {
			base[i] = c
			continue
		}
		base = append(base, c)
	}
	return base
}
