// Package manual writes manual pages in the man(7) language from what the
// commands say of themselves, one page a command, so that help and manual never
// differ.
package manual

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

// Name is the name of a command's page: posework-arm-show.
func Name(n *kong.Node) string {
	if n.Parent == nil {
		return n.Name
	}
	return Name(n.Parent) + "-" + n.Name
}

// Commands returns a command and all below it, in the order of the help.
func Commands(n *kong.Node) []*kong.Node {
	list := []*kong.Node{n}
	for _, child := range n.Children {
		if child.Type == kong.CommandNode && !child.Hidden {
			list = append(list, Commands(child)...)
		}
	}
	return list
}

// Write writes the page of a command.
func Write(w io.Writer, n *kong.Node) error {
	p := &page{w: bufio.NewWriter(w)}
	help, detail := n.Help, n.Detail
	if n.Parent == nil {
		// The program's own description holds both.
		help, detail, _ = strings.Cut(help, "\n\n")
	}
	p.macro("TH", strings.ToUpper(Name(n)), "1", "", "posework")
	p.macro("SH", "NAME")
	p.line(Name(n) + ` \- ` + escape(strings.TrimSuffix(help, ".")))
	p.macro("SH", "SYNOPSIS")
	p.macro("B", strings.ReplaceAll(Name(n), "-", " "))
	for _, arg := range n.Positional {
		p.line(escape(arg.Summary()))
	}
	if len(n.Children) > 0 {
		p.line(`\fIcommand\fR`)
	}
	p.line(`[\fIoptions\fR]`)
	if detail != "" {
		p.macro("SH", "DESCRIPTION")
		p.text(detail)
	}
	p.values("ARGUMENTS", n.Positional)
	p.flags("OPTIONS", n.Flags)
	if n.Parent != nil {
		p.flags("OPTIONS OF EVERY COMMAND", root(n).Flags)
	}
	p.children(n)
	return p.w.Flush()
}

func root(n *kong.Node) *kong.Node {
	for n.Parent != nil {
		n = n.Parent
	}
	return n
}

type page struct{ w *bufio.Writer }

func (p *page) line(s string) { fmt.Fprintln(p.w, s) }

func (p *page) macro(name string, args ...string) {
	fmt.Fprintf(p.w, ".%s", name)
	for _, a := range args {
		fmt.Fprintf(p.w, ` "%s"`, strings.ReplaceAll(escape(a), `"`, `\(dq`))
	}
	fmt.Fprintln(p.w)
}

// text writes paragraphs. Indented lines stay as they are, and so do the lines
// of a table or list among them.
func (p *page) text(s string) {
	for i, paragraph := range strings.Split(strings.TrimSpace(s), "\n\n") {
		if i > 0 {
			p.macro("PP")
		}
		asIs := strings.HasPrefix(paragraph, "  ")
		if asIs {
			p.macro("nf")
		}
		for line := range strings.SplitSeq(paragraph, "\n") {
			p.line(escape(line))
		}
		if asIs {
			p.macro("fi")
		}
	}
}

func (p *page) values(title string, list []*kong.Positional) {
	if len(list) == 0 {
		return
	}
	p.macro("SH", title)
	for _, v := range list {
		p.macro("TP")
		p.macro("I", v.Summary())
		p.line(escape(v.Help))
	}
}

func (p *page) flags(title string, list []*kong.Flag) {
	if len(list) == 0 {
		return
	}
	p.macro("SH", title)
	for _, f := range list {
		if f.Hidden {
			continue
		}
		p.macro("TP")
		p.macro("B", f.String())
		p.line(escape(f.Help))
	}
}

func (p *page) children(n *kong.Node) {
	titled := false
	for _, child := range Commands(n)[1:] {
		if child.Parent != n {
			continue
		}
		if !titled {
			p.macro("SH", "COMMANDS")
			titled = true
		}
		p.macro("TP")
		p.macro("B", child.Name)
		p.line(escape(child.Help) + ` See \fB` + escape(Name(child)) + `\fR(1).`)
	}
}

// escape keeps a line from being taken for a request: man(7) reads a backslash,
// and a dot or an apostrophe at the start, as its own. A hyphen is one that can
// be copied into a shell.
func escape(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, "'") {
		s = `\&` + s
	}
	return s
}
