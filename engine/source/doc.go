// Package source is the one reader of the YAML files that a person writes:
// text to a tree of nodes that know their place, and strict conversions of
// those nodes to names, numbers and quantities with units.
//
// It does not know any file format: engine/program, engine/cell and the others
// ask it for the keys that they know, and it reports every key that nobody
// asked for.
//
// # What it reads
//
// YAML 1.2 of one document, without anchors, aliases, merge keys, tags and
// directives. Numbers are decimal and finite; 010, 0x10, 1_000, .nan and .inf
// are errors, yes and no are plain words, and a key without a value is an error
// where a value is needed. The limits on size, depth and number of values are
// [MaxBytes], [MaxDepth] and [MaxValues]; each is stated in the error that it
// raises.
//
// # How to decode
//
//	var l diag.List
//	root := source.Parse("pick.yaml", data, 1, &l)
//	m := root.Map()
//	title := m.Get("title").Str()
//	speed := m.Need("speed").MMS()
//	m.Close() // reports missing and unknown keys: call it for every map
//
// All methods work on a nil *Node, return zero values there and report nothing,
// and a node is reported on once, so that decoding needs no error handling and
// one mistake gives one diagnostic.
//
// Lengths are mm, angles rad once read, times s, masses kg. A tree is not safe
// for concurrent use; reading is deterministic.
package source
