package records

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"posework/engine/diag"
)

// Fault is one thing that [Store.Verify] found wrong with a site's chain.
type Fault struct {
	Site  string
	Place int64 // 0 when it concerns the chain as a whole
	Text  string
}

// String returns "site SITE, entry PLACE: text". Whoever tampered with a database
// may have put anything into it, also what a terminal would take for an order.
func (f Fault) String() string {
	if f.Place == 0 {
		return diag.Visible(fmt.Sprintf("site %s: %s", f.Site, f.Text))
	}
	return diag.Visible(fmt.Sprintf("site %s, entry %d: %s", f.Site, f.Place, f.Text))
}

// Verification is what [Store.Verify] found.
type Verification struct {
	Heads   []Head // recorded ends of the chains, by site
	Entries int
	Erased  int     // sign-offs whose signer was erased on request
	Faults  []Fault // by site and place; none when the chains are whole
}

// Verify checks the chains of all sites: every hash, every link, every
// commitment to a signer, and that what is missing was erased by an entry that
// says so. Each published head must be in its chain. What it can't prove is said
// at [Entry].
func (s *Store) Verify(ctx context.Context, published ...Head) (Verification, error) {
	t, err := s.d.snapshot(ctx, s.db)
	if err != nil {
		return Verification{}, s.d.explain(err)
	}
	defer t.Rollback()
	var v Verification
	if v.Heads, err = s.heads(ctx, t); err != nil {
		return v, err
	}
	chains := map[string]*walk{}
	for _, h := range v.Heads {
		chains[h.Site] = &walk{site: h.Site, erased: map[int64]int64{}}
	}
	for _, h := range published {
		if chains[h.Site] == nil {
			v.Faults = append(v.Faults, Fault{h.Site, 0, fmt.Sprintf("a head was published for place %d, but there is no such chain", h.Place)})
			continue
		}
		chains[h.Site].published = append(chains[h.Site].published, h)
	}
	var sites []string // in the order of reading
	err = s.rows(ctx, t, "SELECT "+entryColumns+" ORDER BY c.site, c.place, c.id", nil, func(r *sql.Rows) error {
		e, err := scanEntry(r)
		if err != nil {
			return err
		}
		v.Entries++
		w := chains[e.Site]
		if w == nil {
			w = &walk{site: e.Site, erased: map[int64]int64{}}
			w.fault(0, "entries of this site exist, but the end of its chain is recorded nowhere")
			chains[e.Site] = w
		}
		if len(sites) == 0 || sites[len(sites)-1] != e.Site {
			sites = append(sites, e.Site)
		}
		w.step(&e)
		return nil
	})
	if err != nil {
		return v, err
	}
	for _, h := range v.Heads {
		chains[h.Site].end(h)
		if !slices.Contains(sites, h.Site) {
			sites = append(sites, h.Site)
		}
	}
	slices.Sort(sites)
	for _, site := range sites {
		w := chains[site]
		w.signers()
		w.moved()
		v.Erased += w.gone
		slices.SortStableFunc(w.faults, func(a, b Fault) int { return int(a.Place - b.Place) })
		v.Faults = append(v.Faults, w.faults...)
	}
	return v, nil
}

// walk goes along the chain of one site.
type walk struct {
	site      string
	place     int64 // of the entry read last
	hash      Hash  // as that entry says
	published []Head
	erased    map[int64]int64 // place of an erased signer -> place of the erasure
	unsigned  []int64         // places of sign-offs without a signer
	signed    []int64         // places of those with one
	gone      int
	altered   []Entry // whose hash does not fit, for moved
	faults    []Fault
}

func (w *walk) fault(place int64, format string, args ...any) {
	w.faults = append(w.faults, Fault{w.site, place, fmt.Sprintf(format, args...)})
}

// step looks at the next entry.
func (w *walk) step(e *Entry) {
	switch {
	case e.Place <= w.place:
		w.fault(e.Place, "stands twice in the chain")
		return
	case e.Place == w.place+2:
		w.fault(w.place+1, "is missing: it was removed")
	case e.Place > w.place+2:
		w.fault(w.place+1, "is missing, with all up to entry %d: they were removed", e.Place-1)
	}
	whole := e.sum() == e.Hash
	switch {
	case !whole:
		w.altered = append(w.altered, *e)
	case e.Place == w.place+1 && e.Prev != w.hash:
		if e.Place == 1 {
			w.fault(1, "says that another entry stood before it, but it is the first")
		} else if n := len(w.altered); n == 0 || w.altered[n-1].Place != w.place {
			w.fault(w.place, "is not the entry that entry %d was signed after: it was replaced or written anew", e.Place)
		}
	}
	w.place, w.hash = e.Place, e.Hash
	for _, h := range w.published {
		if h.Place == e.Place && h.Hash != e.Hash {
			w.fault(e.Place, "differs from the head that was published for it: the chain was written anew at or before this entry")
		}
	}
	w.signer(e, whole)
}

// signer looks at the personal part of an entry.
func (w *walk) signer(e *Entry, whole bool) {
	switch {
	case e.Kind == kindErasure:
		var d detail
		if whole && json.Unmarshal([]byte(e.Detail), &d) == nil {
			for _, p := range d.Erased {
				w.erased[p] = e.Place
			}
		}
		if e.Signer != nil {
			w.fault(e.Place, "is an erasure, but names a signer: the signer was added later")
		}
	case e.Signer == nil:
		w.unsigned = append(w.unsigned, e.Place)
	default:
		w.signed = append(w.signed, e.Place)
		switch g := e.Signer; {
		case whole && (g.commitment() != e.Commitment || g.deck != e.Deck):
			w.fault(e.Place, "the signer was altered: name, typed name, crew or note is not what was signed")
		case g.of != g.Name:
			w.fault(e.Place, "the signer was altered: it was signed as %s, but counts for %s", g.Name, g.of)
		}
	}
}

// end compares the end of the chain with what is recorded of it.
func (w *walk) end(h Head) {
	switch {
	case h.Place == w.place+1:
		w.fault(h.Place, "is missing: it was removed from the end")
	case h.Place > w.place:
		w.fault(w.place+1, "is missing, with all up to entry %d: they were removed from the end", h.Place)
	case h.Place < w.place:
		w.fault(h.Place+1, "stands behind the recorded end of the chain: it was added past the program")
	case h.Hash != w.hash && w.place > 0:
		w.fault(h.Place, "is not the one recorded as the end of the chain: it was replaced or written anew")
	}
	for _, p := range w.published {
		if p.Place > w.place {
			w.fault(p.Place, "was published as the head, but the chain ends at entry %d", w.place)
		}
	}
}

// signers compares missing signers with the erasures.
func (w *walk) signers() {
	for _, p := range w.unsigned {
		if w.erased[p] == 0 {
			w.fault(p, "the signer is missing, and no later entry says that it was erased")
		} else {
			w.gone++
		}
	}
	for _, p := range w.signed {
		if by := w.erased[p]; by != 0 {
			w.fault(p, "the signer is there, although entry %d erased it: it came back from an old copy", by)
		}
	}
}

// moved says of each altered entry whether it was written at another place.
func (w *walk) moved() {
	var shift int64 // by which the entry before was moved: often they all are
	for i := range w.altered {
		e := w.altered[i]
		at := e.Place
		tries := []int64{at + shift, at - 1, at + 1}
		for j := max(0, i-100); j < min(len(w.altered), i+100); j++ {
			tries = append(tries, w.altered[j].Place)
		}
		from := int64(0)
		for _, p := range tries {
			if e.Place = p; p != at && e.sum() == e.Hash {
				from, shift = p, p-at
				break
			}
		}
		if from != 0 {
			w.fault(at, "was moved: it was signed as entry %d", from)
		} else {
			w.fault(at, "was altered: its content does not fit its hash")
		}
	}
}

// String returns the outcome as lines of text.
func (v Verification) String() string {
	var b strings.Builder
	for _, f := range v.Faults {
		fmt.Fprintln(&b, f)
	}
	verdict := "whole"
	if len(v.Faults) > 0 {
		verdict = "NOT WHOLE"
	}
	fmt.Fprintf(&b, "%s in %s: %s", diag.Count(v.Entries, "entry", "entries"), diag.Count(len(v.Heads), "chain", "chains"), verdict)
	if v.Erased > 0 {
		fmt.Fprintf(&b, "; %s erased on request", diag.Count(v.Erased, "signer", "signers"))
	}
	return b.String()
}
