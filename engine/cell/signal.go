package cell

import (
	"fmt"
	"slices"

	"posework/engine/diag"
	"posework/engine/source"
)

// eventWords are the keys of an event that are no signals.
var eventWords = [...]string{"near", "hold", "release", "at-most"}

func (b *builder) signal(it item) {
	for _, word := range eventWords {
		if it.name == word {
			it.key.Errorf("C004", "choose another name", "the signal name %q is taken: it is a word of waits and events", word)
		}
	}
	i := it.node.OneOf("input", "output", "input on", "output on")
	b.c.Signals = append(b.c.Signals, Signal{Name: it.name, Output: i&1 == 1, On: i >= 2})
}

func (b *builder) events() {
	n := b.sheet.events
	items := n.List()
	few(n, len(items))
	for _, v := range items[:min(len(items), MaxThings)] {
		m := v.Map()
		e := Event{Near: -1, Hold: -1, Let: -1}
		when, then := m.Need("when"), m.Need("then")
		b.when(when, &e)
		b.then(then, &e)
		if after := m.Get("after"); after != nil {
			e.After = after.Seconds()
			after.Check(e.After >= 0 && e.After <= 3600, "C006", "write at most 3600 s", "after is %g s, but must be from 0 to 3600 s", e.After)
		}
		m.Close()
		b.c.Events = append(b.c.Events, e)
	}
}

func (b *builder) when(n *source.Node, e *Event) {
	for _, x := range n.Map().Names() {
		if x.Key == "near" {
			e.Near = b.partRef(x.Value)
			continue
		}
		if i := b.signalRef(x); i >= 0 {
			e.When = append(e.When, SignalState{i, x.Value.OnOff()})
		}
	}
	n.Check(n.Kind() != source.Mapping || len(n.Map().Names()) > 0, "C013", "write {signal: on}", "the event has no condition")
}

func (b *builder) then(n *source.Node, e *Event) {
	for _, x := range n.Map().Names() {
		switch x.Key {
		case "hold":
			e.Hold = b.partRef(x.Value)
			if e.Hold >= 0 && e.Near != e.Hold {
				x.Value.Errorf("C013", fmt.Sprintf("write near: %s in when", x.Value.Str()), "the event takes %s wherever it lies", x.Value.Str())
			}
		case "release":
			e.Let = b.partRef(x.Value)
		default:
			i := b.signalRef(x)
			if i < 0 {
				continue
			}
			if b.c.Signals[i].Output {
				x.KeyNode.Errorf("C013", "let the event set an input", "the event sets %s, which is an output: only the program sets it", x.Key)
			}
			e.Then = append(e.Then, SignalState{i, x.Value.OnOff()})
		}
	}
	n.Check(n.Kind() != source.Mapping || len(n.Map().Names()) > 0, "C013", "write {signal: on}", "the event does nothing")
}

func (b *builder) signalRef(e source.Entry) int {
	if i := slices.IndexFunc(b.c.Signals, func(s Signal) bool { return s.Name == e.Key }); i >= 0 {
		return i
	}
	var known []string
	for i := range b.c.Signals {
		known = append(known, b.c.Signals[i].Name)
	}
	e.KeyNode.Errorf("C009", near(e.Key, known, "add it to signals"), "the cell has no signal named %q", e.Key)
	return -1
}

func (b *builder) partRef(n *source.Node) int {
	name := n.Name()
	if !n.OK() {
		return -1
	}
	if i := slices.IndexFunc(b.c.Parts, func(p Part) bool { return p.Name == name }); i >= 0 {
		return i
	}
	var known []string
	for i := range b.c.Parts {
		known = append(known, b.c.Parts[i].Name)
	}
	n.Errorf("C009", near(name, known, "add it to parts"), "the cell has no part named %q", name)
	return -1
}

func near(name string, known []string, other string) string {
	if w := diag.Nearest(name, known); w != "" {
		return fmt.Sprintf("did you mean %q?", w)
	}
	return other
}
