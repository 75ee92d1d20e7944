package cell

import (
	"path"
	"strings"

	"posework/engine/armfile"
	"posework/engine/diag"
	"posework/engine/source"
	"posework/engine/urdf"
	"posework/kin/arm"
)

// arm reads the arm that the cell names: a built-in one, or a file, for URDF with
// the link that is the flange where the file leaves that open:
//
//	arm: hazel
//	arm: oak.yaml
//	arm: {file: oak.urdf, tip: flange}
func (b *builder) arm(n *source.Node) {
	tip := ""
	if n.Kind() == source.Mapping {
		m := n.Map()
		n = m.Need("file")
		if t := m.Get("tip"); t != nil {
			tip = t.Str()
			t.Check(path.Ext(n.Str()) == ".urdf", "C014", "delete it", "only a URDF file can have several tips")
		}
		m.Close()
	}
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
	data, err := read(b.opt, file, urdf.MaxBytes)
	if err != nil {
		n.Errorf("C001", "check its name", "the arm %q can't be read: %s", name, err)
		return
	}
	m, l := armFrom(file, data, tip)
	*b.l = append(*b.l, l...)
	if len(l) == 0 {
		b.mounted(m)
	}
}

// armFrom reads an arm from a file of either kind.
func armFrom(file string, data []byte, tip string) (*arm.Model, diag.List) {
	if path.Ext(file) == ".urdf" {
		a, l := urdf.Read(file, data, urdf.Options{Tip: tip})
		if a == nil {
			return nil, l
		}
		return a.Model, l
	}
	a, l := armfile.Read(file, data)
	if a == nil {
		return nil, l
	}
	return a.Model, l
}

// mounted sets the arm up where the cell's mount says.
func (b *builder) mounted(m *arm.Model) {
	base := m.Chain.Base()
	b.c.Arm = m.Mounted(b.c.Mount.Mul(&base))
}
