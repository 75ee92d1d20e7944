package urdf

import (
	"math"
	"slices"
	"strings"

	"posework/engine/diag"
	"posework/engine/source"
	"posework/kin"
	"posework/kin/arm"
)

// robot is the file as links and joints.
type robot struct {
	*reader
	root   *element
	name   string
	links  []*link
	byName map[string]*link
	names  []string // of the links
	lost   int      // names of links that were not found
	joints map[string]*joint
}

// link is a body of the robot. Its frame is that of the joint before it.
type link struct {
	name     string
	pos      diag.Pos
	solids   []arm.Solid // Place, From and To in the link's frame
	unread   *element    // a mesh or other geometry that is not read
	file     string      // of the mesh
	parent   *joint
	children []*joint
	pose     kin.Pose // in the frame of the root link, all axes at zero
	axis     int      // moving joints of the chain before it
	moving   int      // moving joints before it
	clean    bool     // only joints that an arm may have lead to it
	reached  bool
}

// joint joins a child link to its parent.
type joint struct {
	el            *element
	name, kind    string
	parent, child *link
	origin        kin.Pose // of the child in the parent, at zero
	axis          kin.Vec  // unit vector in the child's frame
	limit         *element // nil: none
	lower, upper  float64  // rad or m
	velocity      float64  // rad/s or m/s
	mimic         *element
}

// moves reports a joint with an axis of its own.
func (j *joint) moves() bool { return j.turns() || j.kind == "prismatic" }

// turns reports a joint that turns about its axis.
func (j *joint) turns() bool { return j.kind == "revolute" || j.kind == "continuous" }

var kindNames = []string{"revolute", "continuous", "prismatic", "fixed", "floating", "planar"}

func (r *reader) robot(e *element) *robot {
	b := &robot{reader: r, root: e, name: r.name(e, "name"), byName: map[string]*link{}, joints: map[string]*joint{}}
	r.known(e, "name", "/", "link", "joint")
	for _, c := range e.children {
		if c.name == "link" {
			b.link(c)
		}
	}
	for _, c := range e.children {
		if c.name == "joint" {
			b.joint(c)
		}
	}
	return b
}

func (b *robot) link(e *element) {
	l := &link{name: b.reader.name(e, "name"), pos: e.pos}
	if l.name != "" && b.byName[l.name] != nil {
		b.l.Add(e.pos, "U004", "choose another name", "a second link has the name %s", source.Quote(l.name))
	}
	b.byName[l.name] = l
	b.names = append(b.names, l.name)
	b.known(e, "name", "/", "collision")
	collides := false
	for _, c := range e.children {
		if c.name == "collision" {
			collides = true
			b.collision(c, l)
		}
	}
	if v := e.child("visual"); v != nil && !collides {
		l.unread = v
	}
	b.links = append(b.links, l)
}

func (b *robot) joint(e *element) {
	j := &joint{el: e, name: b.reader.name(e, "name"), kind: b.reader.name(e, "type")}
	if j.name != "" && b.joints[j.name] != nil {
		b.l.Add(e.pos, "U004", "choose another name", "a second joint has the name %s", source.Quote(j.name))
	}
	b.joints[j.name] = j
	b.known(e, "name", "type", "/", "parent", "child", "origin", "axis", "limit", "mimic")
	if j.kind != "" && !slices.Contains(kindNames, j.kind) {
		fix := "write one of revolute, continuous, prismatic, fixed"
		if near := diag.Nearest(j.kind, kindNames); near != "" {
			fix = "did you mean \"" + near + "\"?"
		}
		b.l.Add(e.pos, "U007", fix, "the joint %s has the unknown type %s", j.name, source.Quote(j.kind))
	}
	j.parent, j.child = b.end(e, "parent"), b.end(e, "child")
	j.origin = b.origin(e)
	if t := j.origin.T; math.Abs(t.X) > maxMM || math.Abs(t.Y) > maxMM || math.Abs(t.Z) > maxMM {
		b.l.Add(e.child("origin").pos, "U014", "write metres", "the joint %s lies farther than 100 m from its parent", j.name)
	}
	j.axis = kin.Vec{X: 1}
	if a := e.child("axis"); a != nil && j.kind != "fixed" {
		b.known(a, "xyz")
		j.axis = b.vector(a, "xyz", j.axis)
		if j.moves() && j.axis.Norm() < 1e-6 {
			b.l.Add(a.pos, "U008", "write a direction such as 0 0 1", "the axis of the joint %s has no direction", j.name)
		}
		j.axis = j.axis.Unit()
	}
	if j.limit = e.child("limit"); j.limit != nil {
		b.known(j.limit, "lower", "upper", "velocity")
		j.lower, j.upper = b.number(j.limit, "lower", 0), b.number(j.limit, "upper", 0)
		j.velocity = b.number(j.limit, "velocity", 0)
	}
	if j.mimic = e.child("mimic"); j.mimic != nil {
		b.known(j.mimic, "joint")
		b.reader.name(j.mimic, "joint")
	}
	if j.parent == nil || j.child == nil {
		return
	}
	if j.child.parent != nil {
		b.l.Add(e.pos, "U006", "give every link one parent", "the link %s has a second parent: joint %s after joint %s", j.child.name, j.name, j.child.parent.name)
		return
	}
	j.child.parent = j
	j.parent.children = append(j.parent.children, j)
}

// maxMM is the greatest coordinate, mm.
const maxMM = 100_000

// end returns the link that <parent> or <child> names.
func (b *robot) end(e *element, which string) *link {
	c := e.child(which)
	if c == nil {
		b.l.Add(e.pos, "U005", "add <"+which+" link=\"...\"/>", "<joint> has no <%s>", which)
		return nil
	}
	b.known(c, "link")
	name := b.reader.name(c, "link")
	l := b.byName[name]
	if l == nil && name != "" {
		fix := "add <link name=" + source.Quote(name) + "/>"
		// A near name is looked for a few times only, which bounds the work.
		if b.lost++; b.lost > 20 {
			b.names = nil
		}
		if near := diag.Nearest(name, b.names); near != "" {
			fix = "did you mean \"" + near + "\"?"
		}
		b.l.Add(c.pos, "U005", fix, "there is no link %s", source.Quote(name))
	}
	return l
}

// tree finds the root link and places every link with all axes at zero.
func (b *robot) tree() *link {
	if len(b.links) == 0 {
		b.l.Add(b.root.pos, "U006", "add links and joints", "the robot has no links")
		return nil
	}
	var roots []string
	var root *link
	for _, l := range b.links {
		if l.parent == nil {
			roots = append(roots, l.name)
			if root == nil {
				root = l
			}
		}
	}
	if len(roots) > 1 {
		b.l.Add(root.pos, "U006", "join them, or delete the others", "%d links have no parent (%s), but one arm has one base", len(roots), list(roots))
		return nil
	}
	if root != nil {
		b.place(root)
	}
	for _, l := range b.links {
		if !l.reached {
			b.l.Add(l.pos, "U006", "let the first of them hang on the base", "the links go round in a ring: %s", ring(l))
			return nil
		}
	}
	return root
}

// place walks the tree from the root.
func (b *robot) place(root *link) {
	root.reached, root.clean, root.pose = true, true, kin.IdentityPose
	for open := []*link{root}; len(open) > 0; open = open[1:] {
		l := open[0]
		for _, j := range l.children {
			c := j.child
			c.reached = true
			c.pose = l.pose.Mul(&j.origin)
			c.moving, c.clean = l.moving, l.clean && (j.moves() && j.mimic == nil || j.kind == "fixed")
			if j.moves() && j.mimic == nil {
				c.moving++
			}
			open = append(open, c)
		}
	}
}

// ring names the links that lead from l to itself.
func ring(l *link) string {
	// The way up from l ends in the ring; a link seen twice lies on it.
	seen := map[*link]bool{}
	for !seen[l] {
		seen[l] = true
		l = l.parent.parent
	}
	names := []string{l.name}
	for p := l.parent.parent; p != l; p = p.parent.parent {
		names = append(names, p.name)
	}
	slices.Reverse(names)
	if len(names) > 6 {
		names = append(append(names[:3:3], "..."), names[len(names)-2:]...)
	}
	return strings.Join(append(names, names[0]), " -> ")
}

// list writes at most five names.
func list(names []string) string {
	if len(names) > 5 {
		names = append(names[:5:5], "...")
	}
	return strings.Join(names, ", ")
}
