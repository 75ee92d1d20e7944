package source

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"posework/engine/diag"
)

// Kind is the kind of a node.
type Kind uint8

// The kinds of node. Null is a key without a value, ~ or null.
const (
	Null Kind = iota
	Scalar
	Sequence
	Mapping
)

// String names the kind as an error message does.
func (k Kind) String() string {
	return [...]string{"nothing", "a single value", "a list", "a mapping"}[k]
}

// Node is a value in a file with its place. A nil *Node is a value that is
// absent: its methods return zero values and report nothing.
type Node struct {
	kind  Kind
	text  string // scalar
	style style
	label string // what a message calls it: the key, or "item 3 of steps"
	pos   diag.Pos
	file  *file
	bad   bool // reported on: the first report names the cause, more would only repeat it
	items []*Node
	keys  []*Node // mapping: keys[i] belongs to items[i]
	m     *Map
}

// Pos returns where the value begins.
func (n *Node) Pos() diag.Pos {
	if n == nil {
		return diag.Pos{}
	}
	return n.pos
}

// Kind returns the kind of the value, Null for an absent one.
func (n *Node) Kind() Kind {
	if n == nil {
		return Null
	}
	return n.kind
}

// Label returns what messages call the value: its key, or "item 3 of steps".
func (n *Node) Label() string {
	if n == nil {
		return ""
	}
	return n.label
}

// OK reports whether the value is there and nothing was reported on it so far.
func (n *Node) OK() bool { return n != nil && !n.bad }

// Reports returns the list that reports on the value go to, for readers of
// files that the value names; nil for an absent value.
func (n *Node) Reports() *diag.List {
	if n == nil {
		return nil
	}
	return n.file.list
}

// Errorf reports at the value. Only the first report on a value counts.
func (n *Node) Errorf(code, fix, format string, args ...any) {
	if n == nil || n.bad {
		return
	}
	n.bad = true
	n.file.list.Add(n.pos, code, fix, format, args...)
}

// Check reports like [Node.Errorf] unless ok holds.
func (n *Node) Check(ok bool, code, fix, format string, args ...any) {
	if !ok {
		n.Errorf(code, fix, format, args...)
	}
}

// Word returns a copy of a text value that holds only a part of its text, for
// formats that put several words in one value. Reports on it point at the part.
func (n *Node) Word(part string) *Node {
	if n == nil {
		return nil
	}
	w := *n
	if i := strings.Index(n.text, part); i > 0 && n.style == plain && !strings.Contains(n.text[:i], "\n") {
		w.pos.Column += utf8.RuneCountInString(n.text[:i])
	}
	w.text, w.style = part, plain
	return &w
}

// List returns the items of a list, and reports a value that is none.
func (n *Node) List() []*Node {
	if n == nil || n.bad {
		return nil
	}
	if n.kind != Sequence {
		n.wrongKind("a list", "write the items in [ ] or one a line after \"- \"")
		return nil
	}
	return n.items
}

// Count returns the items of a list that must have a given length.
func (n *Node) Count(count int) []*Node {
	items := n.List()
	if n.OK() && len(items) != count {
		n.Errorf("F019", fmt.Sprintf("write %d", count), "%s has %s, but %d are needed", n.label, diag.Count(len(items), "value", "values"), count)
		return nil
	}
	return items
}

// wrongKind reports a value of another kind than what is needed.
func (n *Node) wrongKind(need, fix string) {
	if n.kind == Null {
		n.Errorf("F013", fix, "%s has no value, but %s is needed", n.label, need)
		return
	}
	got := n.kind.String()
	if n.kind == Scalar {
		got = Quote(n.text)
	}
	n.Errorf("F014", fix, "%s is %s, but %s is needed", n.label, got, need)
}

// Quote shows a text in a message, shortened and with control characters
// escaped.
func Quote(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "..."
	}
	return fmt.Sprintf("%q", s)
}
