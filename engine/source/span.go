package source

import (
	"bytes"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"posework/engine/diag"
)

// file is one text that is being read.
type file struct {
	name  string
	first int // number of its first line
	list  *diag.List
	data  []byte
	lines []int // byte offsets of the line starts; made on first use
}

func (f *file) pos(line, column int) diag.Pos {
	return diag.Pos{Filename: f.name, Line: max(line, 1) + f.first - 1, Column: max(column, 1)}
}

// offset returns the byte offset of a line and column, both from 1 and columns
// in characters. Past the end of a line it is that end.
func (f *file) offset(line, column int) int {
	if f.lines == nil {
		f.lines = append(f.lines, 0)
		for i, c := range f.data {
			// A lone carriage return ends a line as well.
			if c == '\n' || c == '\r' && (i+1 == len(f.data) || f.data[i+1] != '\n') {
				f.lines = append(f.lines, i+1)
			}
		}
	}
	if line > len(f.lines) {
		return len(f.data)
	}
	at := f.lines[max(line, 1)-1]
	for ; column > 1 && at < len(f.data) && f.data[at] != '\n'; column-- {
		_, size := utf8.DecodeRune(f.data[at:])
		at += size
	}
	return at
}

// style is how a value is written.
type style uint8

const (
	plain   style = iota // scalar without quotes; list or mapping by indentation
	single               // '...'
	double               // "..."
	literal              // | or >
	flow                 // [...] or {...}
)

func styleOf(y *yaml.Node) style {
	switch {
	case y.Style&yaml.SingleQuotedStyle != 0:
		return single
	case y.Style&yaml.DoubleQuotedStyle != 0:
		return double
	case y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return literal
	case y.Style&yaml.FlowStyle != 0:
		return flow
	}
	return plain
}

// Flow reports whether a list or mapping is written in brackets.
func (n *Node) Flow() bool { return n != nil && n.style == flow }

// Span returns where the value stands in the text, as byte offsets after a byte
// order mark: for editors that change one value and leave every other byte as
// its writer put it. An empty value has an empty span.
func (n *Node) Span() (from, to int) {
	if n == nil {
		return 0, 0
	}
	return n.from(), n.end()
}

func (n *Node) from() int { return n.file.offset(n.pos.Line-n.file.first+1, n.pos.Column) }

// end returns the offset past the last character of the value. The YAML library
// gives beginnings only; the rest follows from them, as the text is known to be
// sound.
func (n *Node) end() int {
	d := n.file.data
	switch {
	case n.style == flow:
		at := n.from() + 1
		if len(n.items) > 0 {
			at = n.items[len(n.items)-1].end()
			if n.kind == Mapping {
				at = max(at, n.keys[len(n.keys)-1].end())
			}
		}
		return closing(d, at)
	case n.kind == Sequence || n.kind == Mapping:
		return max(n.items[len(n.items)-1].end(), n.from())
	case n.style == single:
		return quoted(d, n.from(), '\'')
	case n.style == double:
		return quoted(d, n.from(), '"')
	case n.style == literal:
		at := n.from()
		for at < len(d) && d[at] != '\n' && d[at] != '\r' {
			at++
		}
		return words(d, at, n.text)
	}
	return words(d, n.from(), n.text)
}

// words walks over text in d from an offset on, blanks and line ends apart, in
// which a folded value and its writing differ.
func words(d []byte, at int, text string) int {
	end := at
	for _, c := range []byte(text) {
		if blank(c) {
			continue
		}
		for at < len(d) && blank(d[at]) {
			at++
		}
		at++
		end = at
	}
	return min(end, len(d))
}

func blank(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

// quoted returns the offset past the quote that closes the one at from.
func quoted(d []byte, from int, quote byte) int {
	for at := from + 1; at < len(d); at++ {
		switch {
		case quote == '"' && d[at] == '\\':
			at++
		case d[at] != quote:
		case quote == '\'' && at+1 < len(d) && d[at+1] == quote:
			at++
		default:
			return at + 1
		}
	}
	return len(d)
}

// closing returns the offset past the bracket that closes a list or mapping
// whose last value ends at an offset: only blanks, commas, colons, question
// marks and comments may stand between.
func closing(d []byte, at int) int {
	for at < len(d) {
		switch d[at] {
		case ']', '}':
			return at + 1
		case '#':
			if i := bytes.IndexByte(d[at:], '\n'); i >= 0 {
				at += i
			} else {
				return len(d)
			}
		}
		at++
	}
	return len(d)
}
