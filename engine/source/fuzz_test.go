package source

import (
	"bytes"
	"strings"
	"testing"

	"posework/engine/diag"
)

// FuzzParse: any text is read or refused with at least one message, every message
// points into the text and holds nothing that commands a terminal, and every
// value's span holds its text.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"posework: program/1\ntitle: Lift one tile\nsteps:\n  - {to: home, path: joint, speed: 20 %, end: stop}\n",
		"a: [1, 'it''s', \"x\\ty\"] # c\nb: |\n  text\n", "a: &x 1\nb: *x\n", "<<: {a: 1}", "? a\n: b\n", "a:\n\tb: 1", "%YAML 1.2\n---\na: 1", "\ufeffa: é\r\n", "- - - a", "{a, b: , c: [}",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var l diag.List
		root := Parse("f", data, 1, &l)
		if root == nil && len(l) == 0 {
			t.Fatal("refused without a word")
		}
		checkReports(t, data, l)
		text := bytes.TrimPrefix(data, []byte("\ufeff"))
		if root != nil {
			walkAll(t, text, root)
			read(root)
			checkReports(t, data, l)
		}
	})
}

// read calls every conversion on every value.
func read(n *Node) {
	n.Str()
	for _, item := range n.items {
		c := *item
		for _, conversion := range []func(*Node){
			func(n *Node) { n.Name() }, func(n *Node) { n.Num() }, func(n *Node) { n.Int(1, 5) }, func(n *Node) { n.MMS() }, func(n *Node) { n.MM() },
			func(n *Node) { n.OnOff() }, func(n *Node) { n.OneOf("a", "b") }, func(n *Node) { n.Vec() }, func(n *Node) { n.Map().Close() },
		} {
			c.bad = false
			conversion(&c)
		}
		read(item)
	}
}

func walkAll(t *testing.T, text []byte, n *Node) {
	from, to := n.Span()
	if from < 0 || to < from || to > len(text) {
		t.Fatalf("span %d to %d of %d bytes", from, to, len(text))
	}
	if n.kind == Scalar && n.style == plain && !strings.ContainsAny(n.text, " \n") && string(text[from:to]) != n.text {
		t.Fatalf("the span of %q holds %q", n.text, text[from:to])
	}
	for i, item := range n.items {
		if n.kind == Mapping {
			walkAll(t, text, n.keys[i])
		}
		walkAll(t, text, item)
	}
}

func checkReports(t *testing.T, data []byte, l diag.List) {
	t.Helper()
	lines := bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")) + 1
	for _, d := range l {
		if d.Pos.Line < 1 || d.Pos.Line > lines || d.Pos.Column < 1 || d.Pos.Column > len(data)+1 {
			t.Fatalf("%v points outside the text of %d lines", d, lines)
		}
		if d.Code == "" || d.Text == "" || strings.IndexFunc(d.Text+d.Fix, func(r rune) bool { return Hidden(r) || r == '\n' }) >= 0 {
			t.Fatalf("%q is no fit message", d)
		}
	}
}
