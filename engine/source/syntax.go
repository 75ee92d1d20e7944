package source

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// syntax reports an error of the YAML library in the words of posework.
func (p *parser) syntax(err error) {
	var e *yaml.LoadError
	if !errors.As(err, &e) {
		p.list.Add(p.pos(1, 1), "F005", "", "this is no YAML: %s", strings.TrimPrefix(err.Error(), "yaml: "))
		return
	}
	at := e.Mark
	if at.Line == 0 {
		at = e.ContextMark
	}
	// The library counts a line after the last one.
	if at = p.inside(at); e.ContextMark.Line > 0 {
		e.ContextMark = p.inside(e.ContextMark)
	}
	var deep tooDeep
	if errors.As(err, &deep) || strings.Contains(e.Message, deep.Error()) {
		p.list.Add(p.pos(at.Line, at.Column), "F006", "write it flatter",
			"lists and mappings are nested deeper than %d, the greatest depth that is read", MaxDepth)
		return
	}
	opened := ""
	if e.ContextMark.Line > 0 {
		o := p.pos(e.ContextMark.Line, e.ContextMark.Column)
		opened = fmt.Sprintf("line %d, column %d", o.Line, o.Column)
	}
	text, fix := "this is no YAML: "+e.Message, ""
	has := func(s string) bool { return strings.Contains(e.Message, s) }
	switch {
	case has("expected ',' or ']'"):
		text, fix = "expected \",\" or \"]\" here in the list that opens at "+opened, "close it or separate its items by commas"
	case has("expected ',' or '}'"):
		text, fix = "expected \",\" or \"}\" here in the mapping that opens at "+opened, "close it or separate its keys by commas"
	case has("did not find expected node content"):
		text, fix = "expected a value here", "delete the comma before it or close the bracket"
	case has("could not find expected ':'"):
		at = e.ContextMark
		text, fix = "this line is no \"key: value\"", "write a colon and a space after the key"
	case has("mapping values are not allowed"):
		text, fix = "a \": \" can't stand here", "mend the indentation, or put the text in quotes, or the mapping in { }"
	case has("did not find expected key"):
		text, fix = "this does not belong to the mapping that begins at "+opened, "mend the indentation or the brackets before it"
	case has("did not find expected '-' indicator"):
		text, fix = "this does not belong to the list that begins at "+opened, "mend the indentation, or begin it with \"- \""
	case has("cannot start any token"):
		text, fix = fmt.Sprintf("a value can't begin with %q", p.char(at.Line, at.Column)), "put the value in quotes"
	case has("found unexpected end of stream") || has("found unexpected document indicator"):
		at = e.ContextMark
		text, fix = "this quote is never closed", "add the closing quote"
	case has("unknown escape character"), has("invalid Unicode character escape"), has("did not find expected hexdecimal number"):
		text, fix = "this escape after \\ is not known", "write \\\\ for a backslash, or use single quotes"
	case has("unknown anchor"):
		p.list.Add(p.pos(at.Line, at.Column), "F008", "write the value in its place", "aliases (*name) are not read")
		return
	case has("did not find expected <document start>"):
		text, fix = "this stands after the end of the file's content", "mend the indentation or the brackets before it"
	case has("block sequence entries are not allowed"):
		text, fix = "a list item (\"- \") can't stand here", "begin it on a line of its own, below its key"
	case has("tab character"):
		text, fix = "a tab stands in the indentation", "indent with spaces"
	}
	p.list.Add(p.pos(at.Line, at.Column), "F005", fix, "%s", text)
}

// inside returns a mark, or the end of the text for one that lies past it.
func (p *parser) inside(m yaml.Mark) yaml.Mark {
	p.offset(1, 1)
	if last := len(p.lines); m.Line > last {
		m.Line = last
		m.Column = utf8.RuneCount(p.data[p.lines[last-1]:]) + 1
	}
	return m
}

// char returns the character at a place, and a space past the end.
func (p *parser) char(line, column int) rune {
	if i := p.offset(line, column); i < len(p.data) {
		r, _ := utf8.DecodeRune(p.data[i:])
		return r
	}
	return ' '
}
