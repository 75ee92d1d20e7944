package source

import (
	"fmt"
	"slices"
	"strings"

	"posework/engine/diag"
)

// Map is a mapping that is being read: it remembers which keys were asked for.
type Map struct {
	node    *Node
	index   map[string]int // of the keys
	asked   []string
	missing []string
	all     bool
	closed  bool
}

// Entry is one key of a mapping with its value.
type Entry struct {
	Key     string
	KeyPos  diag.Pos
	KeyNode *Node // to check the key itself: KeyNode.Name()
	Value   *Node
}

// Map returns the value as a mapping, and reports a value that is none. It is
// never nil; calls on one node return the same map.
func (n *Node) Map() *Map {
	if n == nil {
		return &Map{}
	}
	if n.m == nil {
		n.m = &Map{node: n, index: make(map[string]int, len(n.keys))}
		for i, k := range n.keys {
			n.m.index[k.text] = i
		}
		if n.kind != Mapping {
			n.wrongKind("a mapping", "write \"key: value\" lines or {key: value}")
		}
	}
	return n.m
}

// Node returns the node that the map reads, nil for an absent one.
func (m *Map) Node() *Node { return m.node }

// Get returns the value of a key, nil when the key is absent, and marks the key
// as known.
func (m *Map) Get(key string) *Node {
	if m.node == nil || m.node.kind != Mapping {
		return nil
	}
	if !slices.Contains(m.asked, key) {
		m.asked = append(m.asked, key)
	}
	if i, ok := m.index[key]; ok {
		return m.node.items[i]
	}
	return nil
}

// Need is [Map.Get] for a key that must be there. A missing one is reported by
// [Map.Close], which knows whether another key was its misspelling.
func (m *Map) Need(key string) *Node {
	n := m.Get(key)
	if n == nil {
		m.missing = append(m.missing, key)
	}
	return n
}

// Has reports whether a key is there, without marking it as known.
func (m *Map) Has(key string) bool {
	_, ok := m.index[key]
	return ok
}

// Misspelt reports whether some key is most likely a misspelling of one of words,
// which [Map.Close] will then report: their absence has no cause of its own.
func (m *Map) Misspelt(words ...string) bool {
	if m.node == nil {
		return false
	}
	for _, k := range m.node.keys {
		if !slices.Contains(words, k.text) && diag.Nearest(k.text, words) != "" {
			return true
		}
	}
	return false
}

// Names returns all keys with their values in the order of the file and marks
// all as known, for mappings whose keys the writer chooses.
func (m *Map) Names() []Entry {
	if m.node == nil {
		return nil
	}
	m.all = true
	entries := make([]Entry, 0, len(m.node.keys))
	for i, k := range m.node.keys {
		entries = append(entries, Entry{k.text, k.pos, k, m.node.items[i]})
	}
	return entries
}

// Format checks the key that every file of its own begins with, such as
// "posework: program/1".
func (m *Map) Format(want string) {
	n := m.Need("posework")
	if n == nil {
		return
	}
	got := n.Str()
	if !n.OK() || got == want {
		return
	}
	kind, version, _ := strings.Cut(want, "/")
	gotKind, _, _ := strings.Cut(got, "/")
	if gotKind == kind {
		n.Errorf("F021", "write \"posework: "+want+"\"", "%s is not a version that this posework reads; it reads version %s", Quote(got), version)
		return
	}
	n.Errorf("F021", "write \"posework: "+want+"\", or hand in another file", "this file is marked %s, but %s %s file is needed", Quote(got), article(kind), kind)
}

// Close reports every key that was not asked for, with the nearest one that was,
// and every needed key that is missing. Call it once all keys of a mapping were
// asked for.
func (m *Map) Close() {
	if m.node == nil || m.node.kind != Mapping || m.closed {
		return
	}
	m.closed = true
	missing, free := m.missing, m.free()
	if !m.all {
		for _, k := range m.node.keys {
			if !slices.Contains(m.asked, k.text) {
				near := diag.Nearest(k.text, free)
				k.Errorf("F012", m.hint(near), "unknown key %s in %s", Quote(k.text), m.node.label)
				// A needed key that was only misspelt is not missing as well.
				missing = without(missing, near)
			}
		}
	}
	if m.node.bad {
		return
	}
	for _, key := range missing {
		m.node.file.list.Add(m.node.pos, "F013", fmt.Sprintf("add \"%s: ...\"", key), "%s has no %q", m.node.label, key)
	}
}

// free returns the known keys that the mapping does not have yet: only those
// can have been meant by an unknown key.
func (m *Map) free() []string {
	var free []string
	for _, a := range m.asked {
		if !m.Has(a) {
			free = append(free, a)
		}
	}
	return free
}

func (m *Map) hint(near string) string {
	if near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	if len(m.asked) == 0 {
		return "delete it"
	}
	return "known here: " + strings.Join(m.asked, ", ")
}

func without(words []string, w string) []string {
	var rest []string
	for _, x := range words {
		if x != w {
			rest = append(rest, x)
		}
	}
	return rest
}

// article returns the indefinite article of a noun.
func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an"
	}
	return "a"
}
