package lessons

import (
	"bytes"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/text"
)

// page is a lesson's text as its linter sees it.
type page struct {
	prose  string // paragraphs and list items, each ended like a sentence
	links  []link
	titles []string // of the sections
	blocks []block  // of code
}

// block is a block of code with its first line in the text, from 0.
type block struct {
	text string
	line int
}

// link is a link or picture with the line of the text that it stands in, from 0.
type link struct {
	to   string
	line int
}

// readPage takes a text apart. Headings, tables, code and comments are no prose.
func readPage(body string) page {
	src := []byte(body)
	root := goldmark.New(goldmark.WithExtensions(extension.Table)).Parser().Parse(text.NewReader(src))
	var p page
	var prose strings.Builder
	line := 0
	// Walk returns an error only when the function does.
	_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		if n.Type() == ast.TypeBlock && n.Lines().Len() > 0 {
			line = bytes.Count(src[:n.Lines().At(0).Start], []byte("\n"))
		}
		switch n := n.(type) {
		case *ast.Heading:
			p.titles = append(p.titles, strings.TrimSpace(plain(n, src)))
		case *ast.Paragraph, *ast.TextBlock:
			t := strings.TrimSpace(plain(n, src))
			prose.WriteString(t)
			if !strings.HasSuffix(t, ".") {
				prose.WriteString(" .") // an item of a list ends like a sentence
			}
			prose.WriteString("\n")
		case *ast.Link:
			p.links = append(p.links, link{string(n.Destination), line})
		case *ast.Image:
			p.links = append(p.links, link{string(n.Destination), line})
		case *ast.FencedCodeBlock:
			p.blocks = append(p.blocks, block{string(n.Lines().Value(src)), line})
		case *extast.Table:
			return ast.WalkSkipChildren, nil
		}
		return ast.WalkContinue, nil
	})
	p.prose = prose.String()
	return p
}

// plain is the text of a node without its marks. Code stands as one short word:
// nobody reads it out.
func plain(n ast.Node, src []byte) string {
	var b strings.Builder
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		switch c := c.(type) {
		case *ast.Text:
			b.Write(c.Segment.Value(src))
			if c.SoftLineBreak() || c.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.CodeSpan:
			b.WriteString("it")
		default:
			b.WriteString(plain(c, src))
		}
	}
	return b.String()
}

// MostColumns is the greatest width of pictures, programs and tables: they are
// not wrapped, and a terminal may be no wider.
const MostColumns = 80

// wideLines returns the lines of a text, from 0, that are drawn as they stand
// and are wider than MostColumns.
func wideLines(body string) (lines []int) {
	fenced := false
	for i, l := range strings.Split(body, "\n") {
		fence := strings.HasPrefix(strings.TrimSpace(l), "```")
		if fence {
			fenced = !fenced
		}
		drawn := fenced || strings.HasPrefix(l, "|") || strings.HasPrefix(l, "    ")
		if drawn && !fence && len([]rune(l)) > MostColumns {
			lines = append(lines, i)
		}
	}
	return lines
}
