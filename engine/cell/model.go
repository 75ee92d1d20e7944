package cell

import (
	"path"
	"strings"

	"posework/engine/armfile"
	"posework/engine/source"
	"posework/kin/arm"
)

// arm reads the arm that the cell names: a built-in one, or a file.
func (b *builder) arm(n *source.Node) {
	name := n.Str()
	if !n.OK() {
		return
	}
	ext := path.Ext(name)
	if ext == "" {
		m, ok := arm.Builtin(name)
		if !ok {
			n.Errorf("C014", near(name, arm.Names(), "write one of "+strings.Join(arm.Names(), ", ")+", or name a .yaml or .urdf file"), "no built-in arm is named %q", name)
			return
		}
		b.mounted(m)
		return
	}
	if ext != ".yaml" && ext != ".urdf" {
		n.Errorf("C014", "name a .yaml or .urdf file", "the arm %q is neither a built-in one nor a .yaml or .urdf file", name)
		return
	}
	file, err := source.Beside(b.sheet.armDir, name)
	if err != nil {
		n.Errorf("C001", "name a file of the course", "the arm %q can't be read: %s", name, err)
		return
	}
	data, err := read(b.opt, file)
	if err != nil {
		n.Errorf("C001", "check its name", "the arm %q can't be read: %s", name, err)
		return
	}
	a, l := armfile.Read(file, data)
	*b.l = append(*b.l, l...)
	if a != nil {
		b.c.Notes = a.Notes
		b.mounted(a.Model)
	}
}

func (b *builder) mounted(m *arm.Model) {
	base := m.Chain.Base()
	b.c.Arm = m.Mounted(b.c.Mount.Mul(&base))
}
