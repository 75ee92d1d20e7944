package urdf

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"posework/engine/diag"
	"posework/engine/source"
	"posework/kin"
)

// maxNumber is the greatest number that is read: metres, radians or rad/s far
// beyond any arm.
const maxNumber = 1e4

// reader collects what reading finds.
type reader struct {
	l       *diag.List
	notes   diag.List
	ignored []ignored
	kinds   map[string]int // index into ignored
	more    int            // kinds beyond maxIgnored
}

// maxIgnored is how many kinds of ignored things are listed.
const maxIgnored = 40

// ignored is one kind of thing that the model has no place for.
type ignored struct {
	what  string
	pos   diag.Pos // of the first
	count int
}

func (r *reader) ignore(pos diag.Pos, what string) {
	if i, ok := r.kinds[what]; ok {
		r.ignored[i].count++
		return
	}
	if len(r.ignored) == maxIgnored {
		r.more++
		return
	}
	r.kinds[what] = len(r.ignored)
	r.ignored = append(r.ignored, ignored{what, pos, 1})
}

// report turns what was ignored into notes.
func (r *reader) report(root diag.Pos) {
	for _, x := range r.ignored {
		times := ""
		if x.count > 1 {
			times = fmt.Sprintf(" (%d times, first here)", x.count)
		}
		r.notes.Add(x.pos, "U101", "", "%s is not used%s", x.what, times)
	}
	if r.more > 0 {
		r.notes.Add(root, "U101", "", "%d more things of other kinds are not used", r.more)
	}
}

// known passes over all attributes and children of an element but those named:
// attributes first, children after "/".
func (r *reader) known(e *element, names ...string) {
	is := func(name string, attr bool) bool {
		in := true
		for _, n := range names {
			if n == "/" {
				in = false
			} else if n == name && in == attr {
				return true
			}
		}
		return false
	}
	for _, a := range e.attrs {
		if !is(a.Name.Local, true) && a.Name.Space != "xmlns" && a.Name.Local != "xmlns" {
			r.ignore(e.pos, "the attribute "+a.Name.Local+" of <"+e.name+">")
		}
	}
	for _, c := range e.children {
		if !is(c.name, false) {
			r.ignore(c.pos, "<"+c.name+"> in <"+e.name+">")
		}
	}
}

// name returns the attribute that names an element.
func (r *reader) name(e *element, attr string) string {
	s, ok := e.attr(attr)
	switch {
	case !ok || s == "":
		r.l.Add(e.pos, "U004", "add "+attr+"=\"...\"", "<%s> has no %s", e.name, attr)
	case strings.IndexFunc(s, source.Hidden) >= 0 || strings.ContainsAny(s, "\n\t") || len(s) > 100:
		r.l.Add(e.pos, "U004", "choose a short plain name", "<%s> has the name %s, which is too long or holds invisible characters", e.name, source.Quote(s))
		return ""
	}
	return s
}

// number reads an attribute; absent is what it is when it is not there.
func (r *reader) number(e *element, attr string, absent float64) float64 {
	s, ok := e.attr(attr)
	if !ok {
		return absent
	}
	v, ok := parseNumber(strings.TrimSpace(s))
	if !ok {
		r.l.Add(e.pos, "U014", "write a finite decimal number", "%s of <%s> is %s, which is no number", attr, e.name, source.Quote(s))
	}
	return v
}

// vector reads an attribute of three numbers.
func (r *reader) vector(e *element, attr string, absent kin.Vec) kin.Vec {
	s, ok := e.attr(attr)
	if !ok {
		return absent
	}
	parts := strings.Fields(s)
	var v [3]float64
	good := len(parts) == 3
	for i := range v {
		if good {
			v[i], good = parseNumber(parts[i])
		}
	}
	if !good {
		r.l.Add(e.pos, "U014", "write three finite numbers with blanks between", "%s of <%s> is %s, which is not three numbers", attr, e.name, source.Quote(s))
		return absent
	}
	return kin.Vec{X: v[0], Y: v[1], Z: v[2]}
}

func parseNumber(s string) (float64, bool) {
	if strings.Trim(s, "0123456789+-.eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && math.Abs(v) <= maxNumber
}

// origin reads the child <origin> of an element, in mm.
func (r *reader) origin(e *element) kin.Pose {
	o := e.child("origin")
	if o == nil {
		return kin.IdentityPose
	}
	r.known(o, "xyz", "rpy")
	t, a := r.vector(o, "xyz", kin.Vec{}), r.vector(o, "rpy", kin.Vec{})
	return kin.Pose{R: kin.FromRPY(a.X, a.Y, a.Z), T: t.Scale(1000)}
}
