package source

import "posework/engine/diag"

// Copy returns a copy of a value that nobody has read yet, whose reports go to l:
// for building several things from one text that was parsed once. The value
// itself must not have been read either. Copying one value in several places at a
// time is safe.
func (n *Node) Copy(l *diag.List) *Node {
	if n == nil {
		return nil
	}
	f := &file{name: n.file.name, first: n.file.first, list: l, data: n.file.data}
	return n.copyInto(f)
}

func (n *Node) copyInto(f *file) *Node {
	c := &Node{kind: n.kind, text: n.text, style: n.style, label: n.label, pos: n.pos, file: f, bad: n.bad}
	if n.items != nil {
		c.items = make([]*Node, len(n.items))
		for i, item := range n.items {
			c.items[i] = item.copyInto(f)
		}
	}
	if n.keys != nil {
		c.keys = make([]*Node, len(n.keys))
		for i, key := range n.keys {
			c.keys[i] = key.copyInto(f)
		}
	}
	return c
}
