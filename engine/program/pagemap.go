package program

import (
	"slices"
	"strings"

	"posework/engine/source"
)

// finder leads to a node of a page, again after every splice.
type finder func(root *source.Node) *source.Node

// child leads to the value of a key.
func (f finder) child(key string) finder {
	return func(root *source.Node) *source.Node { return f(root).Map().Get(key) }
}

func top(root *source.Node) *source.Node { return root }

// value is what an edit writes for a key: in brackets, and over several lines
// below its key where that is possible and wanted.
type value struct {
	flow  string
	block func(col int) string // nil: always flow. Text after the colon, later lines indented by col
}

// entries returns the keys and values of a mapping.
func entries(n *source.Node) []source.Entry { return n.Map().Names() }

// put sets a key of the mapping that find leads to. A new key goes after the
// last of the keys in order that stand before it there and are present.
func (p *page) put(find finder, key string, v value, order []string) (*page, error) {
	n := find(p.root)
	es := entries(n)
	after := -1
	for i, e := range es {
		if e.Key == key {
			s := spanOf(e.Value)
			return p.with(splice{s.from, s.to, v.flow})
		}
		if k := slices.Index(order, e.Key); k >= 0 && (slices.Index(order, key) < 0 || k < slices.Index(order, key)) {
			after = max(after, i)
		}
	}
	if slices.Index(order, key) < 0 {
		after = len(es) - 1
	}
	written := name(key) + ": " + v.flow
	if n.Flow() {
		return p.with(p.flowInsert(spanOf(n), pairs(es), after+1, written))
	}
	col := n.Pos().Column - 1
	if v.block != nil {
		written = name(key) + ":" + v.block(col+2)
	}
	pad := strings.Repeat(" ", col)
	if after < 0 {
		from, _ := es[0].KeyNode.Span()
		return p.with(splice{from, from, written + "\n" + pad})
	}
	_, to := es[after].Value.Span()
	at := p.lineEnd(to)
	return p.with(splice{at, at, "\n" + pad + written})
}

func pairs(es []source.Entry) []span {
	spans := make([]span, len(es))
	for i, e := range es {
		spans[i] = pairSpan(e)
	}
	return spans
}

func pairSpan(e source.Entry) span {
	k := spanOf(e.KeyNode)
	return span{k.from, max(k.to, spanOf(e.Value).to)}
}

// drop deletes a key of the mapping that find leads to, which keeps others.
func (p *page) drop(find finder, key string) (*page, error) {
	n := find(p.root)
	es := entries(n)
	i := slices.IndexFunc(es, func(e source.Entry) bool { return e.Key == key })
	if i < 0 {
		return p, nil
	}
	if n.Flow() {
		return p.with(p.flowDelete(pairs(es), i)...)
	}
	s := pairSpan(es[i])
	if p.leads(s.from) {
		return p.with(splice{p.lineStart(s.from), p.nextLine(s.to), ""})
	}
	// The first key after "- ": the next line moves up to the dash.
	next := p.nextLine(s.to)
	spaces, _ := p.indent(next)
	return p.with(splice{s.from, next + spaces, ""})
}

// patch turns a mapping that says old into one that says new, key by key.
func (p *page) patch(find finder, old, new []field) (*page, error) {
	var order []string
	for _, f := range new {
		order = append(order, f.key)
	}
	for _, f := range new {
		if slices.Contains(old, f) {
			continue
		}
		var err error
		if p, err = p.put(find, f.key, value{flow: f.value}, order); err != nil {
			return nil, err
		}
	}
	for _, f := range old {
		if slices.Contains(order, f.key) {
			continue
		}
		var err error
		if p, err = p.drop(find, f.key); err != nil {
			return nil, err
		}
	}
	return p, nil
}
