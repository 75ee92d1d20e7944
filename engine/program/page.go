package program

import (
	"bytes"
	"slices"
	"strings"

	"posework/engine/diag"
	"posework/engine/source"
)

// page is a text under edit with its nodes. Edits splice the text, so that every
// byte that an edit does not concern stays as its writer put it: comments, blank
// lines, order, alignment and quotes.
type page struct {
	name string
	text []byte
	root *source.Node
	eol  string
}

// newPage parses a text and reports to l.
func newPage(name string, text []byte, l *diag.List) *page {
	p := &page{name: name, text: text, eol: "\n"}
	if i := bytes.IndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		p.eol = "\r\n"
	}
	p.root = source.Parse(name, text, 1, l)
	return p
}

// splice replaces a range of the text.
type splice struct {
	from, to int
	text     string
}

// with returns the page after splices, which must not overlap. Line ends in
// their texts are written as the page has them.
func (p *page) with(splices ...splice) (*page, error) {
	slices.SortStableFunc(splices, func(a, b splice) int { return a.from - b.from })
	var b bytes.Buffer
	at := 0
	for _, s := range splices {
		b.Write(p.text[at:s.from])
		b.WriteString(strings.ReplaceAll(s.text, "\n", p.eol))
		at = s.to
	}
	b.Write(p.text[at:])
	var l diag.List
	next := newPage(p.name, b.Bytes(), &l)
	return next, l.Err()
}

// lineStart returns the offset of the beginning of the line that holds at.
func (p *page) lineStart(at int) int { return bytes.LastIndexByte(p.text[:at], '\n') + 1 }

// lineEnd returns the offset of the end of the line that holds at, before its
// line end.
func (p *page) lineEnd(at int) int {
	i := bytes.IndexByte(p.text[at:], '\n')
	if i < 0 {
		return len(p.text)
	}
	if at += i; at > 0 && p.text[at-1] == '\r' {
		at--
	}
	return at
}

// nextLine returns the offset of the line after the one that holds at.
func (p *page) nextLine(at int) int {
	i := bytes.IndexByte(p.text[at:], '\n')
	if i < 0 {
		return len(p.text)
	}
	return at + i + 1
}

// indent returns the number of spaces that the line that begins at start begins
// with, and whether it is a comment.
func (p *page) indent(start int) (spaces int, comment bool) {
	at := start
	for at < len(p.text) && p.text[at] == ' ' {
		at++
	}
	return at - start, at < len(p.text) && p.text[at] == '#'
}

// leads reports whether the value that begins at an offset is the first thing on
// its line.
func (p *page) leads(at int) bool {
	spaces, _ := p.indent(p.lineStart(at))
	return p.lineStart(at)+spaces == at
}

// span is a range of the text.
type span struct{ from, to int }

func spanOf(n *source.Node) span {
	from, to := n.Span()
	return span{from, to}
}

// flowInsert returns the splice that puts an item into a list or mapping in
// brackets, whose items stand at spans, before index i.
func (p *page) flowInsert(whole span, items []span, i int, item string) splice {
	switch {
	case len(items) == 0:
		return splice{whole.from + 1, whole.to - 1, item}
	case i == len(items):
		last := items[i-1]
		sep := ", "
		if p.leads(last.from) {
			spaces, _ := p.indent(p.lineStart(last.from))
			sep = ",\n" + strings.Repeat(" ", spaces)
		}
		return splice{last.to, last.to, sep + item}
	}
	sep := ", "
	if p.leads(items[i].from) {
		spaces, _ := p.indent(p.lineStart(items[i].from))
		sep = ",\n" + strings.Repeat(" ", spaces)
	}
	return splice{items[i].from, items[i].from, item + sep}
}

// flowDelete returns the splices that take an item out of a list or mapping in
// brackets.
func (p *page) flowDelete(items []span, i int) []splice {
	it := items[i]
	comma := p.comma(it.to)
	if comma < 0 {
		cut := []splice{{it.from, it.to, ""}}
		if rest := p.text[it.to:p.lineEnd(it.to)]; p.leads(it.from) && len(bytes.TrimSpace(rest)) == 0 {
			cut[0] = splice{p.lineStart(it.from), p.nextLine(it.to), ""}
		}
		if i > 0 {
			if before := p.comma(items[i-1].to); before >= 0 {
				// Only blanks between the comma and the item: cut in one go.
				if len(bytes.TrimSpace(p.text[before+1:it.from])) == 0 {
					return []splice{{before, it.to, ""}}
				}
				cut = append(cut, splice{before, before + 1, ""})
			}
		}
		return cut
	}
	to := comma + 1
	for to < len(p.text) && p.text[to] == ' ' {
		to++
	}
	rest := bytes.TrimSpace(p.text[to:p.lineEnd(to)])
	if p.leads(it.from) && (len(rest) == 0 || rest[0] == '#') {
		return []splice{{p.lineStart(it.from), p.nextLine(to), ""}}
	}
	return []splice{{it.from, to, ""}}
}

// comma returns the offset of the comma that follows at, blanks and comments
// apart, or -1.
func (p *page) comma(at int) int {
	for at < len(p.text) {
		switch c := p.text[at]; {
		case c == ',':
			return at
		case c == '#':
			at = p.nextLine(at)
			continue
		case c != ' ' && c != '\n' && c != '\r' && c != '\t':
			return -1
		}
		at++
	}
	return -1
}
