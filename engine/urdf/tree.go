package urdf

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"posework/engine/diag"
	"posework/engine/source"
)

// The limits on a file.
const (
	MaxBytes    = 1 << 20
	MaxDepth    = 24
	MaxElements = 20_000
)

// element is one element of the file with its place.
type element struct {
	name     string
	attrs    []xml.Attr
	pos      diag.Pos
	children []*element
}

// attr returns the value of an attribute.
func (e *element) attr(name string) (string, bool) {
	for _, a := range e.attrs {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value, true
		}
	}
	return "", false
}

// child returns the first child element of a name, nil when there is none.
func (e *element) child(name string) *element {
	for _, c := range e.children {
		if c.name == name {
			return c
		}
	}
	return nil
}

// cursor turns byte offsets, which must not decrease, into places.
type cursor struct {
	data []byte
	at   int
	here diag.Pos
}

// pos returns the place of a byte, its column in characters.
func (c *cursor) pos(offset int64) diag.Pos {
	to := min(int(offset), len(c.data))
	for ; c.at < to; c.at++ {
		switch b := c.data[c.at]; {
		case b == '\n':
			c.here.Line, c.here.Column = c.here.Line+1, 1
		case utf8.RuneStart(b):
			c.here.Column++
		}
	}
	return c.here
}

// parse reads the text into a tree of elements, nil when it can't be read.
func parse(name string, data []byte, l *diag.List) *element {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	t := &cursor{data: data, here: diag.Pos{Filename: name, Line: 1, Column: 1}}
	if len(data) > MaxBytes {
		l.Add(t.pos(0), "U001", "hand in the arm alone, without embedded data", "the file is larger than %d kB, the greatest size that is read", MaxBytes>>10)
		return nil
	}
	if len(bytes.TrimSpace(data)) == 0 {
		l.Add(t.pos(0), "U002", "write a URDF robot", "the file is empty")
		return nil
	}
	d := xml.NewDecoder(bytes.NewReader(data))
	var root *element
	var open []*element
	for count := 0; ; {
		// The decoder stands before the token now, and past it afterwards.
		at := t.pos(d.InputOffset())
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			if len(open) > 0 {
				broken(err, at, open[len(open)-1], l)
			} else {
				broken(err, at, nil, l)
			}
			return nil
		}
		switch tok := token.(type) {
		case xml.StartElement:
			count++
			e := &element{name: tok.Name.Local, attrs: slices.Clone(tok.Attr), pos: at}
			switch {
			case count > MaxElements:
				l.Add(at, "U001", "hand in the arm alone", "the file has more than %d elements, the most that are read", MaxElements)
				return nil
			case len(open) == MaxDepth:
				l.Add(at, "U001", "hand in the arm alone", "elements are nested deeper than %d, the greatest depth that is read", MaxDepth)
				return nil
			case tok.Name.Space == "xacro" || strings.Contains(tok.Name.Space, "xacro"):
				l.Add(at, "U003", "expand the file first and hand in the result", "this is a xacro macro, and only the URDF made from it is read")
				return nil
			case root != nil && len(open) == 0:
				l.Add(at, "U003", "keep one robot a file", "a second root element <%s> begins here", e.name)
				return nil
			}
			if len(open) > 0 {
				parent := open[len(open)-1]
				parent.children = append(parent.children, e)
			} else {
				root = e
			}
			open = append(open, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.Directive:
			l.Add(at, "U003", "delete it", "declarations (<!...>) are not read")
			return nil
		}
	}
	if root == nil || root.name != "robot" {
		at := diag.Pos{Filename: name, Line: 1, Column: 1}
		if root != nil {
			at = root.pos
		}
		l.Add(at, "U003", "hand in a URDF file", "a URDF file holds a <robot> element")
		return nil
	}
	return root
}

// broken reports text that is no XML. at is where the faulty token begins, last
// the element that was open there.
func broken(err error, at diag.Pos, last *element, l *diag.List) {
	var syntax *xml.SyntaxError
	message := strings.TrimPrefix(err.Error(), "xml: ")
	if errors.As(err, &syntax) {
		message = syntax.Msg
	}
	switch {
	case strings.Contains(message, "unexpected EOF") && last != nil:
		l.Add(last.pos, "U002", "write </"+last.name+"> or />", "the element <%s> is never closed", last.name)
	case strings.Contains(message, "invalid UTF-8"):
		l.Add(at, "U002", "save the file as UTF-8 text", "this is no UTF-8 text")
	case strings.Contains(message, "CharsetReader"):
		l.Add(at, "U002", "save the file as UTF-8 text", "the file says that it has another encoding than UTF-8")
	case strings.Contains(message, "character entity"):
		l.Add(at, "U002", "write &amp; for &", "a & stands here that begins no known character")
	default:
		l.Add(at, "U002", "mend the tags around it", "this is no XML: %s", strings.Map(visible, message))
	}
}

// visible replaces what could command the terminal that shows a message.
func visible(r rune) rune {
	if source.Hidden(r) || r == '\n' {
		return '?'
	}
	return r
}
