package urdf

import (
	"fmt"
	"slices"

	"posework/engine/diag"
	"posework/engine/source"
)

// chain chooses the link that is the flange and returns the joints from the base
// to it, nil when there is no such chain.
func (b *robot) chain(root *link, tip string) []*joint {
	end := b.tip(root, tip)
	if end == nil {
		return nil
	}
	var joints []*joint
	for l := end; l.parent != nil; l = l.parent.parent {
		joints = append(joints, l.parent)
	}
	slices.Reverse(joints)
	before := len(*b.l)
	for _, j := range joints {
		switch {
		case j.kind == "floating" || j.kind == "planar":
			b.l.Add(j.el.pos, "U007", "hand in an arm whose joints are revolute, prismatic or fixed", "the joint %s between base and flange is %s, and has no single axis", j.name, j.kind)
		case j.moves() && j.mimic != nil:
			driver, _ := j.mimic.attr("joint")
			b.l.Add(j.mimic.pos, "U013", "delete <mimic>, if the axis is driven by itself", "the axis %s follows %s, and is none of its own", j.name, driver)
		}
	}
	if len(*b.l) > before {
		return nil
	}
	if end.moving != 6 {
		b.l.Add(end.pos, "U011", "hand in an arm of six axes", "%d moving axes lead to the link %s, but an arm has six", end.moving, end.name)
		return nil
	}
	return joints
}

// tip returns the link that is the flange: the one that is asked for, or the only
// end of the tree with six moving axes before it.
func (b *robot) tip(root *link, name string) *link {
	var leaves, six []*link
	var names, sixNames, inner []string
	for _, l := range b.links {
		leaf, fits := len(l.children) == 0, l.moving == 6 && l.clean
		if leaf {
			leaves = append(leaves, l)
			names = append(names, fmt.Sprintf("%s (%d axes)", l.name, l.moving))
		}
		if fits && leaf {
			six = append(six, l)
			sixNames = append(sixNames, l.name)
		}
		if fits {
			inner = append(inner, l.name)
		}
	}
	if name != "" {
		if l := b.byName[name]; l != nil {
			return l
		}
		fix := "name one of " + list(names)
		if near := diag.Nearest(name, b.names); near != "" {
			fix = fmt.Sprintf("did you mean %q?", near)
		}
		b.l.Add(b.root.pos, "U012", fix, "there is no link %s to be the flange", source.Quote(name))
		return nil
	}
	switch {
	case len(six) == 1:
		return six[0]
	case len(six) > 1:
		b.l.Add(root.pos, "U012", "name the one that is the flange as tip", "the chain of six axes branches to %s", list(sixNames))
		return nil
	case len(inner) > 0:
		b.l.Add(root.pos, "U012", "name the one that is the flange as tip", "the tree goes on past its sixth axis; the flange may be %s", list(inner))
		return nil
	case len(leaves) == 1:
		return leaves[0] // whose fault is named by the caller
	}
	b.l.Add(root.pos, "U011", "hand in an arm of six axes", "no end of the tree has six moving axes before it: %s", list(names))
	return nil
}

// branches tells of what hangs beside the chain, and counts for every link the
// axes of the chain before it.
func (b *robot) branches(root *link, chain []*joint) {
	root.axis = 0
	for open := []*link{root}; len(open) > 0; open = open[1:] {
		for _, j := range open[0].children {
			j.child.axis = open[0].axis
			on := slices.Contains(chain, j)
			switch {
			case on && j.moves():
				j.child.axis++
			case !on && j.kind != "fixed":
				b.notes.Add(j.el.pos, "U106", "", "the joint %s lies beside the chain to the flange, and is taken to stand still at zero", j.name)
			}
			open = append(open, j.child)
		}
	}
}
