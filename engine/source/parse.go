package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"

	"posework/engine/diag"
)

// The limits on a file. A program at the limit of its own number of steps stays
// well below them.
const (
	MaxBytes  = 256 << 10 // size
	MaxDepth  = 60        // lists and mappings within each other
	MaxValues = 50_000    // keys and values
)

// Parse reads one YAML document. name and firstLine (1 but for text inside
// another file) make up the positions. It returns nil when the text can't be
// read, and has then reported why.
func Parse(name string, data []byte, firstLine int, l *diag.List) *Node {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	p := &parser{file: &file{name: name, first: firstLine, list: l, data: data}}
	if !p.plainText(data) || !p.layout(data) {
		return nil
	}
	loader, err := yaml.NewLoader(bytes.NewReader(data),
		yaml.WithUniqueKeys(false), // reported here, with both places
		yaml.WithPlugin(loaderlimits.New(loaderlimits.AliasNone(), loaderlimits.DepthFunc(depth))))
	if err != nil {
		panic("source: " + err.Error()) // the options are constant
	}
	var doc yaml.Node
	if err := guard(func() error { return loader.Load(&doc) }); err == io.EOF {
		p.empty()
		return nil
	} else if err != nil {
		p.syntax(err)
		return nil
	}
	var second yaml.Node
	if err := guard(func() error { return loader.Load(&second) }); err == nil {
		p.list.Add(p.pos(second.Line, second.Column), "F010", "keep one document and delete the rest", "a second document begins here, but a file holds one")
		return nil
	} else if err != io.EOF {
		p.syntax(err)
		return nil
	}
	if len(doc.Content) != 1 {
		p.empty()
		return nil
	}
	if doc.Content[0].Kind == yaml.ScalarNode && isNull(doc.Content[0]) {
		p.empty()
		return nil
	}
	root := p.convert(doc.Content[0], "the file", 1)
	if p.stop {
		return nil
	}
	return root
}

// guard turns a panic of the YAML library into an error. None is known, but its
// code has some for states that it holds to be impossible, and a file from a
// stranger must not end a class.
func guard(load func() error) (err error) {
	defer func() {
		if recover() != nil {
			err = errors.New("the YAML library gave up on it")
		}
	}()
	return load()
}

// tooDeep is the error with which the YAML scanner stops at [MaxDepth].
type tooDeep struct{}

func (tooDeep) Error() string { return "too deep" }

func depth(d int, _ *yaml.DepthContext) error {
	if d > MaxDepth {
		return tooDeep{}
	}
	return nil
}

// parser turns one text into nodes.
type parser struct {
	*file
	values int
	stop   bool // the tree can't be used; the cause is reported
}

func (p *parser) empty() {
	p.list.Add(p.pos(1, 1), "F002", "write its first key", "the file is empty")
}

// plainText checks size, number of values and characters: UTF-8 without control or
// invisible characters, which could hide a part of the file from its reader or
// command the terminal that shows it.
func (p *parser) plainText(data []byte) bool {
	if len(data) > MaxBytes {
		p.list.Add(p.pos(1, 1), "F001", "split it or delete what it does not need",
			"the file is larger than %d kB, the greatest size that is read", MaxBytes>>10)
		return false
	}
	line, column, commas := 1, 1, 0
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		switch {
		case r == utf8.RuneError && size <= 1:
			p.list.Add(p.pos(line, column), "F003", "save the file as UTF-8 text", "this is no UTF-8 text (byte %#02x)", data[i])
			return false
		case r == ',':
			// A list of so many values would be read at a great cost, and refused.
			if commas++; commas > MaxValues {
				p.list.Add(p.pos(line, column), "F007", "split the file", "the file holds more than %d keys and values, the most that are read", MaxValues)
				return false
			}
		case r == '\n' || r == '\r' && (i+1 == len(data) || data[i+1] != '\n'):
			line, column = line+1, 0
		case r == 0:
			p.list.Add(p.pos(line, column), "F003", "save the file as UTF-8 text", "this is no text (a NUL character)")
			return false
		case Hidden(r) && r != '\r':
			p.list.Add(p.pos(line, column), "F003", "delete it", "this is an invisible character (U+%04X)", r)
			return false
		}
		i += size
		column++
	}
	return true
}

// Hidden reports characters that show as nothing: controls other than tab and
// line ends, the other line and paragraph separators (which YAML and editors
// count differently), byte order marks, zero-width and direction marks.
func Hidden(r rune) bool {
	switch {
	case r == '\t', r == '\n':
		return false
	case r < 0x20, r >= 0x7f && r < 0xa0:
		return true
	case r >= 0x200b && r <= 0x200f, r >= 0x2028 && r <= 0x202e, r >= 0x2060 && r <= 0x206f, r == 0xfeff:
		return true
	case r >= 0xe0000 && r <= 0xe007f, r >= 0xfff0 && r <= 0xfffb, r&0xfffe == 0xfffe:
		return true
	}
	return false
}

// layout checks what the YAML library would report less clearly: tabs in the
// indentation and directives.
func (p *parser) layout(data []byte) bool {
	content := false
	for i, line := range bytes.Split(data, []byte("\n")) {
		text := bytes.TrimLeft(line, " ")
		if len(bytes.TrimSpace(text)) == 0 || text[0] == '#' {
			continue
		}
		if text[0] == '\t' {
			p.list.Add(p.pos(i+1, len(line)-len(text)+1), "F004", "indent with spaces", "this line is indented with a tab")
			return false
		}
		if !content && line[0] == '%' {
			p.list.Add(p.pos(i+1, 1), "F009", "delete the line", "directives (lines that begin with %%) are not read")
			return false
		}
		content = true
	}
	return true
}

// convert builds the tree and reports what YAML allows and posework does not.
func (p *parser) convert(y *yaml.Node, label string, depth int) *Node {
	// An empty value at the end of the text is given the line after it.
	at := p.inside(yaml.Mark{Line: y.Line, Column: y.Column})
	n := &Node{label: label, pos: p.pos(at.Line, at.Column), file: p.file, style: styleOf(y)}
	if p.stop {
		return n
	}
	p.values++
	switch {
	case p.values > MaxValues:
		p.fail(y, "F007", "split the file", "the file holds more than %d keys and values, the most that are read", MaxValues)
	case depth > MaxDepth:
		p.fail(y, "F006", "write it flatter", "lists and mappings are nested deeper than %d, the greatest depth that is read", MaxDepth)
	case y.Kind == yaml.AliasNode:
		p.fail(y, "F008", "write the value again in its place", "aliases (*name) are not read")
	case y.Anchor != "":
		p.fail(y, "F008", "delete the anchor, and write the value again where it was used", "anchors (&name) are not read")
	case y.Style&yaml.TaggedStyle != 0, y.Tag == "!":
		p.fail(y, "F009", "delete it", "tags (!name) are not read")
	}
	if p.stop {
		return n
	}
	switch y.Kind {
	case yaml.SequenceNode:
		n.kind = Sequence
		for i, c := range y.Content {
			n.items = append(n.items, p.convert(c, fmt.Sprintf("item %d of %s", i+1, label), depth+1))
		}
	case yaml.MappingNode:
		n.kind = Mapping
		p.mapping(n, y, depth)
	default:
		n.text = y.Value
		if !isNull(y) {
			n.kind = Scalar
		}
		// Escapes in quotes can write what the text itself may not hold.
		if i := strings.IndexFunc(y.Value, Hidden); i >= 0 {
			r, _ := utf8.DecodeRuneInString(y.Value[i:])
			n.Errorf("F003", "delete the escape", "%s contains an invisible character (U+%04X)", label, r)
		}
	}
	return n
}

func (p *parser) mapping(n *Node, y *yaml.Node, depth int) {
	seen := map[string]diag.Pos{}
	for i := 0; i+1 < len(y.Content); i += 2 {
		k, v := y.Content[i], y.Content[i+1]
		if k.Kind == yaml.ScalarNode && k.Value == "<<" {
			p.fail(k, "F008", "write the keys out", "merge keys (<<) are not read")
		}
		key := p.convert(k, "the key", depth+1)
		if p.stop {
			return
		}
		if key.kind != Scalar {
			key.Errorf("F014", "write \"name: value\"", "a key must be a single word")
			p.stop = true
			return
		}
		value := p.convert(v, labelOf(k.Value), depth+1)
		if first, twice := seen[k.Value]; twice {
			key.Errorf("F011", "keep one of the two", "the key %s stands here twice, first in line %d", Quote(k.Value), first.Line)
			continue
		}
		seen[k.Value] = key.pos
		n.keys = append(n.keys, key)
		n.items = append(n.items, value)
	}
}

// labelOf is what messages call the value of a key.
func labelOf(key string) string {
	if len(key) > 40 || strings.ContainsAny(key, " \n\t") || strings.IndexFunc(key, Hidden) >= 0 {
		return Quote(key)
	}
	return key
}

func (p *parser) fail(y *yaml.Node, code, fix, format string, args ...any) {
	if p.stop {
		return
	}
	p.stop = true
	p.list.Add(p.pos(y.Line, y.Column), code, fix, format, args...)
}

// isNull reports a value that YAML takes for none.
func isNull(y *yaml.Node) bool {
	if styleOf(y) != plain {
		return false
	}
	switch y.Value {
	case "", "~", "null", "Null", "NULL":
		return true
	}
	return false
}
