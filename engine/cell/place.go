package cell

import (
	"fmt"
	"slices"

	"posework/engine/diag"
	"posework/engine/solid"
	"posework/engine/source"
	"posework/kin"
)

// Frame returns the world pose of a frame of the cell: world, base or one of its
// task frames.
func (c *Cell) Frame(name string) (kin.Pose, bool) {
	switch name {
	case "world":
		return kin.IdentityPose, true
	case "base":
		return c.Mount, true
	}
	if i := slices.IndexFunc(c.Frames, func(f Frame) bool { return f.Name == name }); i >= 0 {
		return c.Frames[i].Pose, true
	}
	return kin.Pose{}, false
}

// inWorld places p by the frame that a mapping names.
func (c *Cell) inWorld(m *source.Map, p kin.Pose) kin.Pose {
	n := m.Get("frame")
	name := n.Name()
	if !n.OK() {
		return p
	}
	f, ok := c.Frame(name)
	if !ok {
		n.Errorf("C009", c.hint(name), "the cell has no frame named %q", name)
		return p
	}
	return f.Mul(&p)
}

func (c *Cell) hint(frame string) string {
	known := []string{"world", "base"}
	for i := range c.Frames {
		known = append(known, c.Frames[i].Name)
	}
	if near := diag.Nearest(frame, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "add it to frames"
}

// axis returns the coordinate that a change means, nil for an unknown key.
func axis(xyz, rpy *kin.Vec, key string) *float64 {
	switch key {
	case "x":
		return &xyz.X
	case "y":
		return &xyz.Y
	case "z":
		return &xyz.Z
	case "roll":
		return &rpy.X
	case "pitch":
		return &rpy.Y
	case "yaw":
		return &rpy.Z
	}
	return nil
}

// value returns the value in mm or rad.
func (c *Change) value() float64 {
	if len(c.Key) == 1 {
		return c.Value
	}
	return kin.Rad(c.Value)
}

// was is the change back to a value in mm or rad.
func (c *Change) was(v float64) Change {
	if len(c.Key) > 1 {
		v = kin.Deg(v)
	}
	return Change{Pos: c.Pos, Name: c.Name, Key: c.Key, Value: v}
}

// assign finds the things that the changes mean.
func (b *builder) assign() {
	b.changes = map[*source.Node][]Change{}
	var names []string
	for _, section := range [][]item{b.sheet.frames, b.sheet.solids, b.sheet.parts, b.sheet.zones} {
		for _, it := range section {
			names = append(names, it.name)
		}
	}
	for _, c := range b.opt.Changes {
		var x, y kin.Vec
		if axis(&x, &y, c.Key) == nil {
			b.l.Add(c.Pos, "C010", "write x, y, z, roll, pitch or yaw", "%q is no coordinate of %s", c.Key, c.Name)
			continue
		}
		if !(c.Value >= -solid.MaxMM && c.Value <= solid.MaxMM) {
			b.l.Add(c.Pos, "C006", "check the digits", "%s.%s is %g, but a cell reaches to at most %d mm", c.Name, c.Key, c.Value, solid.MaxMM)
			continue
		}
		found := false
		for _, section := range [][]item{b.sheet.frames, b.sheet.solids, b.sheet.parts, b.sheet.zones} {
			if i := index(section, c.Name); i >= 0 && !found {
				b.changes[section[i].node] = append(b.changes[section[i].node], c)
				found = true
			}
		}
		if !found {
			fix := "name a frame, solid, part or zone"
			if near := diag.Nearest(c.Name, names); near != "" {
				fix = fmt.Sprintf("did you mean %q?", near)
			}
			b.l.Add(c.Pos, "C010", fix, "the cell has no frame, solid, part or zone named %q", c.Name)
		}
	}
}

// place reads the keys xyz, rpy and frame of a thing and returns its place in the
// world frame, with the changes of the thing: rpy is [0, 0, 0] and frame is world
// where they are not there; need says that xyz must be.
func (b *builder) place(n *source.Node, m *source.Map, need bool) kin.Pose {
	xyzNode, rpyNode := m.Get("xyz"), m.Get("rpy")
	if need {
		xyzNode = m.Need("xyz")
	}
	p := solid.Pose(xyzNode, rpyNode)
	if changes := b.changes[n]; len(changes) > 0 {
		xyz, rpy := xyzNode.Vec(), rpyNode.Degs()
		for _, c := range changes {
			at := axis(&xyz, &rpy, c.Key)
			b.c.Replaced = append(b.c.Replaced, c.was(*at))
			*at = c.value()
		}
		p = kin.Pose{R: kin.FromRPY(rpy.X, rpy.Y, rpy.Z), T: xyz}
	}
	return b.c.inWorld(m, p)
}

// frames places the task frames, which may be written in each other in any
// order.
func (b *builder) frames() {
	const (
		open = 1
		done = 2
	)
	items := b.sheet.frames
	state := make([]int, len(items))
	b.c.Frames = make([]Frame, len(items))
	for i, it := range items {
		if it.name == "world" || it.name == "base" {
			it.key.Errorf("C004", "choose another name", "the frame name %q is taken: it is a frame of every cell", it.name)
		}
		b.c.Frames[i] = Frame{Name: it.name}
	}
	var visit func(i int)
	visit = func(i int) {
		state[i] = open
		m := items[i].node.Map()
		if parent := m.Get("frame"); parent.Kind() == source.Scalar {
			k := index(items, parent.Str())
			switch {
			case k < 0:
			case state[k] == open:
				parent.Errorf("C011", "write it in base or world", "the frame %s is written in %q, which is written in it", items[i].name, items[k].name)
			case state[k] == 0:
				visit(k)
			}
		}
		b.c.Frames[i].Pose = b.place(items[i].node, m, true)
		m.Close()
		state[i] = done
	}
	for i := range items {
		if state[i] == 0 {
			visit(i)
		}
	}
}
