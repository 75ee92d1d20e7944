package program

import (
	"bytes"
	"strings"

	"posework/engine/source"
)

// col returns the number of spaces before the dashes of a list that is written
// by indentation.
func col(list *source.Node) int { return list.Pos().Column - 1 }

// item returns the lines that belong to item i of such a list: from the
// beginning of the line of its dash, and of the comment lines directly above it,
// to the end of its last line and of the comment lines below that are indented
// deeper than the dash.
func (p *page) item(list *source.Node, i int) (head, dash, end int) {
	from, to := list.List()[i].Span()
	c := col(list)
	dash = p.lineStart(from)
	for dash > 0 && !(p.text[min(dash+c, from)] == '-' && strings.TrimLeft(string(p.text[dash:dash+c]), " ") == "") {
		dash = p.lineStart(dash - 1)
	}
	head = dash
	for head > 0 {
		above := p.lineStart(head - 1)
		if spaces, comment := p.indent(above); !comment || spaces > c {
			break
		}
		head = above
	}
	end = p.lineEnd(to)
	for {
		next := p.nextLine(end)
		spaces, comment := p.indent(next)
		if next == len(p.text) || !comment || spaces <= c {
			return head, dash, end
		}
		end = p.lineEnd(next)
	}
}

// spans returns where the items of a list stand.
func spans(list *source.Node) []span {
	var all []span
	for _, item := range list.List() {
		all = append(all, spanOf(item))
	}
	return all
}

// insert puts an item into the list at a place. inBrackets is the item for a list
// in brackets; lines writes it for one by indentation, dash and comments
// included, indented by col.
func (p *page) insert(at place, inBrackets string, lines func(col int) string) (*page, error) {
	n := at.list(p.root)
	count := len(n.List())
	switch {
	case n.Flow() && (count > 0 || at.inFlow):
		return p.with(p.flowInsert(spanOf(n), spans(n), at.i, inBrackets))
	case n.Flow():
		// "steps: []" becomes a list by indentation.
		s, eol := spanOf(n), p.lineEnd(spanOf(n).to)
		return p.with(splice{p.colon(at.key), s.to, ""}, splice{eol, eol, "\n" + lines(at.key.Pos().Column+1)})
	case at.i == count:
		_, _, end := p.item(n, at.i-1)
		return p.with(splice{end, end, "\n" + lines(col(n))})
	}
	head, _, _ := p.item(n, at.i)
	return p.with(splice{head, head, lines(col(n)) + "\n"})
}

// colon returns the offset past the colon after a key.
func (p *page) colon(key *source.Node) int {
	_, to := key.Span()
	return to + bytes.IndexByte(p.text[to:], ':') + 1
}

// remove deletes the item at a place, and the comment lines above it when they
// are to go with it.
func (p *page) remove(at place, comments bool) (*page, error) {
	n := at.list(p.root)
	if n.Flow() {
		return p.with(p.flowDelete(spans(n), at.i)...)
	}
	head, dash, end := p.item(n, at.i)
	if !comments {
		head = dash
	}
	cut := splice{head, p.nextLine(end), ""}
	if len(n.List()) > 1 {
		return p.with(cut)
	}
	c := p.colon(at.key)
	return p.with(splice{c, c, " []"}, cut)
}
