package records

import (
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func sign(t testing.TB, s *Store, person, deck string, points float64, minute int) Head {
	t.Helper()
	h, err := s.AddSignOff(t.Context(), SignOff{
		Person: person, Typed: strings.ToLower(person), Deck: deck, Course: "1.4.0", Asked: []string{deck + "-Q1", deck + "-Q2"},
		Missed: []string{deck + "-Q2"}, Points: points, Needed: 80, At: at(minute),
	})
	if err != nil {
		t.Fatalf("AddSignOff: %v", err)
	}
	return h
}

// signedStore has six entries in the chain of the soap works and two in another.
func signedStore(t testing.TB, dsn string) *Store {
	t.Helper()
	s := open(t, dsn)
	for _, p := range []Person{
		{Name: "Ines Calloway", Crew: "day", Site: "harrow-mere"}, {Name: "Tom Ashdown", Crew: "night", Site: "harrow-mere"},
		{Name: "Abel Root", Crew: "day", Site: "annex"},
	} {
		p.At = at(0)
		if err := s.AddPerson(t.Context(), p); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 3 {
		sign(t, s, "Ines Calloway", "D1", 100, 2*i)
		sign(t, s, "Tom Ashdown", "D2", 75, 2*i+1)
	}
	sign(t, s, "Abel Root", "D1", 80, 7)
	sign(t, s, "Abel Root", "D2", 80, 8)
	return s
}

func verify(t testing.TB, s *Store, published ...Head) []string {
	t.Helper()
	v, err := s.Verify(t.Context(), published...)
	if err != nil {
		t.Fatalf("Verify: %v", err)
	}
	var out []string
	for _, f := range v.Faults {
		out = append(out, f.String())
	}
	return out
}

func TestSignOffs(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := signedStore(t, p.dsn(t))
		v, err := s.Verify(t.Context())
		if err != nil || v.Faults != nil || v.Entries != 8 || len(v.Heads) != 2 {
			t.Errorf("Verify = %+v, %v, want 8 entries in 2 chains without fault", v, err)
		}
		if want := "8 entries in 2 chains: whole"; v.String() != want {
			t.Errorf("String() = %q, want %q", v, want)
		}
		got, err := s.SignOffs(t.Context(), "tom ashdown", Page{Newest: true, Limit: 1})
		want := []Entry{{
			Site: "harrow-mere", Place: 6, Kind: "sign-off", Deck: "D2", Course: "1.4.0", Points: 75, Needed: 80,
			Detail: `{"asked":["D2-Q1","D2-Q2"],"missed":["D2-Q2"]}`, At: at(5),
			Signer: &Signer{Name: "Tom Ashdown", Typed: "tom ashdown", Crew: "night"},
		}}
		opt := cmp.Options{cmpopts.IgnoreFields(Entry{}, "ID", "Commitment", "Prev", "Hash"), cmpopts.IgnoreUnexported(Signer{})}
		if d := cmp.Diff(want, got, opt); err != nil || d != "" {
			t.Errorf("SignOffs: %v (-want +got):\n%s", err, d)
		}
		list, err := s.Entries(t.Context(), "harrow-mere", Page{After: 2, Limit: 3})
		if err != nil || len(list) != 3 || list[0].Place != 3 || list[1].Prev != list[0].Hash {
			t.Errorf("Entries = %v, %v, want places 3 to 5, linked", list, err)
		}
		if _, err := s.SignOffs(t.Context(), "Nobody", Page{}); !errors.Is(err, ErrNotFound) {
			t.Errorf("sign-offs of a stranger: %v, want ErrNotFound", err)
		}
	})
}

// The hash of one entry, computed by hand: SHA-256 (FIPS 180-4) over the fields
// with their lengths, and HMAC (RFC 2104) over the signer, both spelled out here
// so that a change of the format can't go unnoticed.
func TestEntryHashFormat(t *testing.T) {
	e := Entry{Site: "annex", Place: 1, Kind: "sign-off", Deck: "D1", Points: 100, Needed: 80, Passed: true, Detail: "{}", At: at(0)}
	text := func(s string) string { return fmt.Sprintf("%016x", len(s)) + hex.EncodeToString([]byte(s)) }
	raw := text("posework chain 1") + text("annex") + "0000000000000001" + text("sign-off") + text("D1") + text("") +
		"4059000000000000" + // 100 as IEEE 754
		"4054000000000000" + // 80
		"0000000000000001" + "0000000000000000" + text("{}") +
		fmt.Sprintf("%016x", at(0).UnixMicro()) +
		text(string(make([]byte, 32))) + text(string(make([]byte, 32)))
	b, err := hex.DecodeString(raw)
	if err != nil {
		t.Fatal(err)
	}
	if want := sha256.Sum256(b); e.sum() != Hash(want) {
		t.Errorf("sum() = %s, want %x", e.sum(), want)
	}
	g := Signer{Name: "Abel Root", Typed: "abel root", Crew: "day", deck: "D1", salt: []byte("salt")}
	mac := hmac.New(sha256.New, []byte("salt"))
	b, err = hex.DecodeString(text("posework signer 1") + text("D1") + text("Abel Root") + text("abel root") + text("day") + text(""))
	if err != nil {
		t.Fatal(err)
	}
	mac.Write(b)
	if want := Hash(mac.Sum(nil)); g.commitment() != want {
		t.Errorf("commitment() = %s, want %s", g.commitment(), want)
	}
}

func TestVerifyNamesTheEntry(t *testing.T) {
	// Each case changes the database past the program, triggers off, the way an
	// administrator could.
	const site = " WHERE site = 'harrow-mere' AND place "
	signer := func(place int) string {
		return fmt.Sprintf("(SELECT id FROM chain WHERE site = 'harrow-mere' AND place = %d)", place)
	}
	tests := []struct {
		name string
		sql  []string
		want []string
	}{
		{"points altered", []string{"UPDATE chain SET points = 100" + site + "= 2"},
			[]string{"site harrow-mere, entry 2: was altered: its content does not fit its hash"}},
		{"passed altered", []string{"UPDATE chain SET passed = 1" + site + "= 6"},
			[]string{"site harrow-mere, entry 6: was altered: its content does not fit its hash"}},
		{"time altered", []string{"UPDATE chain SET at = at + 1" + site + "= 1"},
			[]string{"site harrow-mere, entry 1: was altered: its content does not fit its hash"}},
		{"detail altered", []string{"UPDATE chain SET detail = '{}'" + site + "= 3"},
			[]string{"site harrow-mere, entry 3: was altered: its content does not fit its hash"}},
		{"hash altered", []string{"UPDATE chain SET hash = prev" + site + "= 3"},
			[]string{"site harrow-mere, entry 3: was altered: its content does not fit its hash"}},
		{"one removed", []string{"DELETE FROM signer WHERE chain = " + signer(4), "DELETE FROM chain" + site + "= 4"},
			[]string{"site harrow-mere, entry 4: is missing: it was removed"}},
		{"first removed", []string{"DELETE FROM signer WHERE chain = " + signer(1), "DELETE FROM chain" + site + "= 1"},
			[]string{"site harrow-mere, entry 1: is missing: it was removed"}},
		{"several removed", []string{"DELETE FROM signer WHERE chain >= " + signer(2) + " AND chain <= " + signer(4), "DELETE FROM chain" + site + "BETWEEN 2 AND 4"},
			[]string{"site harrow-mere, entry 2: is missing, with all up to entry 4: they were removed"}},
		{"last removed", []string{"DELETE FROM signer WHERE chain = " + signer(6), "DELETE FROM chain" + site + "= 6"},
			[]string{"site harrow-mere, entry 6: is missing: it was removed from the end"}},
		{"two last removed", []string{"DELETE FROM signer WHERE chain >= " + signer(5) + " AND chain <= " + signer(6), "DELETE FROM chain" + site + "> 4"},
			[]string{"site harrow-mere, entry 5: is missing, with all up to entry 6: they were removed from the end"}},
		{"all removed", []string{"DELETE FROM signer", "DELETE FROM chain WHERE site = 'annex'", "DELETE FROM chain"},
			[]string{
				"site annex, entry 1: is missing, with all up to entry 2: they were removed from the end",
				"site harrow-mere, entry 1: is missing, with all up to entry 6: they were removed from the end",
			}},
		{"two exchanged", []string{"UPDATE chain SET place = -1" + site + "= 3", "UPDATE chain SET place = 3" + site + "= 5", "UPDATE chain SET place = 5" + site + "= -1"},
			[]string{
				"site harrow-mere, entry 3: was moved: it was signed as entry 5",
				"site harrow-mere, entry 5: was moved: it was signed as entry 3",
			}},
		{"removed and closed up", []string{"DELETE FROM signer WHERE chain = " + signer(2), "DELETE FROM chain" + site + "= 2",
			"UPDATE chain SET place = 2" + site + "= 3", "UPDATE chain SET place = 3" + site + "= 4", "UPDATE chain SET place = 4" + site + "= 5", "UPDATE chain SET place = 5" + site + "= 6"},
			[]string{
				"site harrow-mere, entry 2: was moved: it was signed as entry 3",
				"site harrow-mere, entry 3: was moved: it was signed as entry 4",
				"site harrow-mere, entry 4: was moved: it was signed as entry 5",
				"site harrow-mere, entry 5: was moved: it was signed as entry 6",
				"site harrow-mere, entry 6: is missing: it was removed from the end",
			}},
		{"signer altered", []string{"UPDATE signer SET name = 'Somebody Else' WHERE chain = " + signer(2)},
			[]string{"site harrow-mere, entry 2: the signer was altered: name, typed name, crew or note is not what was signed"}},
		{"signer's deck altered", []string{"UPDATE signer SET deck = 'D9' WHERE chain = " + signer(2)},
			[]string{"site harrow-mere, entry 2: the signer was altered: name, typed name, crew or note is not what was signed"}},
		{"signed for another", []string{"UPDATE signer SET person = (SELECT id FROM person WHERE name = 'Abel Root') WHERE chain = " + signer(5)},
			[]string{"site harrow-mere, entry 5: the signer was altered: it was signed as Ines Calloway, but counts for Abel Root"}},
		{"person renamed", []string{"UPDATE person SET name = 'Tom Root', fold = 'tom root' WHERE name = 'Abel Root'"},
			[]string{
				"site annex, entry 1: the signer was altered: it was signed as Abel Root, but counts for Tom Root",
				"site annex, entry 2: the signer was altered: it was signed as Abel Root, but counts for Tom Root",
			}},
		{"signer removed", []string{"DELETE FROM signer WHERE chain = " + signer(2)},
			[]string{"site harrow-mere, entry 2: the signer is missing, and no later entry says that it was erased"}},
		{"end forgotten", []string{"UPDATE site SET places = 3 WHERE name = 'harrow-mere'"},
			[]string{"site harrow-mere, entry 4: stands behind the recorded end of the chain: it was added past the program"}},
		{"end altered", []string{"UPDATE site SET head = (SELECT prev FROM chain" + site + "= 2) WHERE name = 'harrow-mere'"},
			[]string{"site harrow-mere, entry 6: is not the one recorded as the end of the chain: it was replaced or written anew"}},
		{"another site's entry", []string{"UPDATE chain SET site = 'annex', place = 3" + site + "= 6"},
			[]string{
				"site annex, entry 3: stands behind the recorded end of the chain: it was added past the program",
				"site annex, entry 3: was altered: its content does not fit its hash",
				"site harrow-mere, entry 6: is missing: it was removed from the end",
			}},
	}
	eachPlace(t, func(t *testing.T, p place) {
		for _, tt := range tests {
			t.Run(tt.name, func(t *testing.T) {
				dsn := p.dsn(t)
				s := signedStore(t, dsn)
				db := p.raw(t, dsn)
				p.disarm(t, db)
				for _, q := range tt.sql {
					must(t, db, q)
				}
				if d := cmp.Diff(tt.want, verify(t, s)); d != "" {
					t.Errorf("faults (-want +got):\n%s", d)
				}
			})
		}
	})
}

// rewrite puts a changed entry into the database with a hash that fits it.
func rewrite(t testing.TB, db *sql.DB, e Entry) {
	t.Helper()
	must(t, db, "UPDATE chain SET points = $1, prev = $2, hash = $3 WHERE site = $4 AND place = $5",
		e.Points, e.Prev[:], e.Hash[:], e.Site, e.Place)
}

func TestVerifyAgainstPublishedHead(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		dsn := p.dsn(t)
		s := signedStore(t, dsn)
		heads, err := s.Heads(t.Context())
		if err != nil || len(heads) != 2 {
			t.Fatal(heads, err)
		}
		published := heads[1] // harrow-mere, place 6
		sign(t, s, "Ines Calloway", "D3", 100, 20)
		if got := verify(t, s, heads...); got != nil {
			t.Errorf("faults against true heads: %q", got)
		}

		db := p.raw(t, dsn)
		p.disarm(t, db)
		list, err := s.Entries(t.Context(), "harrow-mere", Page{})
		if err != nil {
			t.Fatal(err)
		}
		// One entry written anew, its hash made to fit: the next one gives it away.
		e := list[1]
		e.Points = 100
		e.Hash = e.sum()
		rewrite(t, db, e)
		want := []string{"site harrow-mere, entry 2: is not the entry that entry 3 was signed after: it was replaced or written anew"}
		if d := cmp.Diff(want, verify(t, s)); d != "" {
			t.Errorf("faults of a rewritten entry (-want +got):\n%s", d)
		}
		// The whole rest written anew: nothing inside gives it away, as Entry says...
		list[1] = e
		for i := 2; i < len(list); i++ {
			list[i].Prev = list[i-1].Hash
			list[i].Hash = list[i].sum()
			rewrite(t, db, list[i])
		}
		last := list[len(list)-1]
		must(t, db, "UPDATE site SET head = $1 WHERE name = 'harrow-mere'", last.Hash[:])
		if got := verify(t, s); got != nil {
			t.Errorf("faults of a chain written anew: %q", got)
		}
		// ...but the published head does.
		want = []string{"site harrow-mere, entry 6: differs from the head that was published for it: the chain was written anew at or before this entry"}
		if d := cmp.Diff(want, verify(t, s, published)); d != "" {
			t.Errorf("faults against the published head (-want +got):\n%s", d)
		}

		// A chain that was cut and its end set back, and one that is gone.
		must(t, db, "DELETE FROM signer WHERE chain >= $1", list[4].ID)
		must(t, db, "DELETE FROM chain WHERE site = 'harrow-mere' AND place > 4")
		must(t, db, "UPDATE site SET places = 4, head = $1 WHERE name = 'harrow-mere'", list[3].Hash[:])
		got := verify(t, s, published, Head{Site: "old-works", Place: 9})
		for _, w := range []string{
			"site old-works: a head was published for place 9, but there is no such chain",
			"site harrow-mere, entry 6: was published as the head, but the chain ends at entry 4",
		} {
			if !slices.Contains(got, w) {
				t.Errorf("faults %q lack %q", got, w)
			}
		}
	})
}

func TestHeadText(t *testing.T) {
	h := Head{Site: "harrow mere 2", Place: 41, Hash: sha256.Sum256(nil)}
	got, err := ParseHead(" " + h.String() + "\n")
	if err != nil || got != h {
		t.Errorf("ParseHead(%q) = %v, %v", h, got, err)
	}
	for _, s := range []string{"", "41", "x " + h.Hash.String() + " a", "41 abcd a", "41 " + h.Hash.String(), "-1 " + h.Hash.String() + " a"} {
		_, err := ParseHead(s)
		wantErr(t, err, "write the line that posework records head printed")
	}
}

func TestCorrectedSignOff(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := signedStore(t, p.dsn(t))
		ctx := t.Context()
		fix := SignOff{Person: "Ines Calloway", Typed: "Ines Calloway", Deck: "D1", Points: 0, Needed: 80, Corrects: 5,
			Note: "signed for a colleague", At: at(30)}
		if _, err := s.AddSignOff(ctx, fix); err != nil {
			t.Fatal(err)
		}
		_, err := s.AddSignOff(ctx, fix)
		wantErr(t, err, "sign-off 5 of site harrow-mere was corrected by 7 already")
		fix.Corrects = 2
		_, err = s.AddSignOff(ctx, fix)
		wantErr(t, err, "sign-off 2 of site harrow-mere is not Ines Calloway's")
		fix.Corrects = 99
		if _, err = s.AddSignOff(ctx, fix); !errors.Is(err, ErrNotFound) {
			t.Errorf("correcting nothing: %v, want ErrNotFound", err)
		}
		// The newest one that counts is the one before.
		got, err := s.Signed(ctx, SignedFilter{PeopleFilter: PeopleFilter{Crew: "day", Site: "harrow-mere"}}, 0)
		if err != nil || len(got) != 1 || !got[0].Ever || got[0].Place != 3 || !got[0].At.Equal(at(4-2)) {
			t.Errorf("Signed = %+v, %v, want place 3", got, err)
		}
		if got := verify(t, s); got != nil {
			t.Errorf("faults: %q", got)
		}
	})
}

func TestSigned(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		s := signedStore(t, p.dsn(t))
		// Tom never reached the pass mark; Zoë never signed.
		if err := s.AddPerson(t.Context(), Person{Name: "Zoë Marsh", At: at(0)}); err != nil {
			t.Fatal(err)
		}
		names := func(w SignedFilter) string {
			t.Helper()
			got, err := s.Signed(t.Context(), w, 0)
			if err != nil {
				t.Fatal(err)
			}
			var b strings.Builder
			for _, g := range got {
				fmt.Fprintf(&b, "%s:%v:%d;", strings.Fields(g.Person.Name)[0], g.Ever, g.Place)
			}
			return b.String()
		}
		tests := []struct {
			name string
			w    SignedFilter
			want string
		}{
			{"all", SignedFilter{}, "Abel:true:2;Ines:true:5;Tom:false:0;Zoë:false:0;"},
			{"deck", SignedFilter{Deck: "D1"}, "Abel:true:1;Ines:true:5;Tom:false:0;Zoë:false:0;"},
			{"due", SignedFilter{Due: at(5), Now: at(60)}, "Ines:true:5;Tom:false:0;Zoë:false:0;"},
			{"exactly at the limit is not due", SignedFilter{Due: at(4), Now: at(60)}, "Tom:false:0;Zoë:false:0;"},
			{"signed later than now", SignedFilter{Due: at(0), Now: at(7)}, "Abel:true:2;Tom:false:0;Zoë:false:0;"},
			{"points that are asked for", SignedFilter{Least: 90}, "Abel:false:0;Ines:true:5;Tom:false:0;Zoë:false:0;"},
			{"crew and deck", SignedFilter{PeopleFilter: PeopleFilter{Crew: "day"}, Deck: "D2", Due: at(60), Now: at(90)}, "Abel:true:2;Ines:false:0;"},
		}
		for _, tt := range tests {
			if got := names(tt.w); got != tt.want {
				t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
			}
		}
	})
}

func TestForget(t *testing.T) {
	eachPlace(t, func(t *testing.T, p place) {
		dsn := p.dsn(t)
		s := signedStore(t, dsn)
		ctx := t.Context()
		a := attempt("Ines Calloway", "L07", 50, 1)
		a.Program = []byte("# taught by Ines Calloway\n")
		first := addAttempt(t, s, a)
		a.Corrects = first
		if _, err := s.Add(ctx, &a, &Answer{Person: a.Person, Deck: "D1", Question: "Q", Given: "Ines Calloway", At: at(1)},
			&Practice{Person: a.Person, Lesson: "L07", Kind: "run", At: at(1)},
			&Code{Person: a.Person, Label: "K7Q2", Hash: []byte("x"), Until: at(9), At: at(2)},
			&Person{Name: a.Person, Crew: "night", Site: "annex", Key: "ssh-ed25519 AAAA ines", At: at(9)}); err != nil {
			t.Fatal(err)
		}
		sign(t, s, "Ines Calloway", "D1", 100, 10) // now in the other site's chain
		other := attempt("Tom Ashdown", "L07", 50, 1)
		addAttempt(t, s, other)

		about, err := s.About(ctx, "ines calloway")
		if err != nil {
			t.Fatal(err)
		}
		wantKept := []Kept{
			{"attempts", 2, at(1), at(1)}, {"quiz answers", 1, at(1), at(1)}, {"practice logs", 1, at(1), at(1)},
			{"sign-offs", 4, at(0), at(10)}, {Kind: "codes used"}, {"one-time codes", 1, at(2), at(2)}, {Kind: "rulings"},
			{"sums by lesson", 1, at(1), at(1)}, {"roster entries", 2, at(0), at(9)},
			{"name", 1, at(0), at(0)},
		}
		if d := cmp.Diff(wantKept, about.Kept); d != "" {
			t.Errorf("About (-want +got):\n%s", d)
		}
		if len(about.Roster) != 2 || about.Roster[0].Crew != "day" || about.Person.Crew != "night" {
			t.Errorf("About: roster %+v, person %+v", about.Roster, about.Person)
		}

		_, err = s.Forget(ctx, "Ines Calloway", time.Time{})
		wantErr(t, err, "forget Ines Calloway: time is not given")
		if _, err = s.Forget(ctx, "Ines Calloway", at(60)); err != nil {
			t.Fatal(err)
		}
		if got := verify(t, s); got != nil {
			t.Errorf("faults after forgetting: %q", got)
		}
		v, err := s.Verify(ctx)
		if err != nil || v.Erased != 4 || !strings.Contains(v.String(), "4 signers erased on request") {
			t.Errorf("Verify = %v, %v, want 4 erased", v, err)
		}
		if _, err := s.About(ctx, "Ines Calloway"); !errors.Is(err, ErrNotFound) {
			t.Errorf("About after Forget: %v, want ErrNotFound", err)
		}
		if _, err := s.Forget(ctx, "Ines Calloway", at(60)); !errors.Is(err, ErrNotFound) {
			t.Errorf("Forget again: %v, want ErrNotFound", err)
		}
		left, err := s.Attempts(ctx, AttemptFilter{}, Page{})
		if err != nil || len(left) != 1 || left[0].Person != "Tom Ashdown" {
			t.Errorf("attempts after Forget = %v, %v, want Tom's alone", left, err)
		}
		// Ids are never given again.
		if id := addAttempt(t, s, attempt("Tom Ashdown", "L07", 50, 1)); id <= left[0].ID {
			t.Errorf("new attempt has id %d, not above %d", id, left[0].ID)
		}

		// A signer that comes back from an old copy shows.
		db := p.raw(t, dsn)
		p.disarm(t, db)
		must(t, db, `INSERT INTO signer (chain, person, deck, name, typed, crew, note, salt)
			SELECT c.id, g.person, g.deck, g.name, g.typed, g.crew, g.note, g.salt FROM chain c, signer g
			WHERE c.site = 'harrow-mere' AND c.place = 1 AND g.chain = (SELECT min(chain) FROM signer)`)
		want := []string{
			"site harrow-mere, entry 1: the signer was altered: name, typed name, crew or note is not what was signed",
			"site harrow-mere, entry 1: the signer is there, although entry 7 erased it: it came back from an old copy",
		}
		if d := cmp.Diff(want, verify(t, s)); d != "" {
			t.Errorf("faults (-want +got):\n%s", d)
		}
	})
}

func TestForgottenNameIsNowhereInTheFiles(t *testing.T) {
	dsn := sqlitePlace().dsn(t)
	s := signedStore(t, dsn)
	for i := range 300 { // enough to spread over many pages
		a := attempt("Ines Calloway", fmt.Sprintf("L%02d", i%22), 50, i)
		a.Program = []byte(strings.Repeat("# taught by Ines Calloway\n", 1+i%40))
		addAttempt(t, s, a)
		addAttempt(t, s, attempt("Tom Ashdown", "L07", 50, i))
	}
	found := func(name string) int {
		t.Helper()
		n := 0
		files, err := filepath.Glob(filepath.Join(filepath.Dir(dsn), "*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			n += strings.Count(strings.ToLower(string(b)), name)
		}
		return n
	}
	if found("ines calloway") == 0 {
		t.Fatal("the test looks in the wrong place")
	}
	if _, err := s.Forget(t.Context(), "Ines Calloway", at(500)); err != nil {
		t.Fatal(err)
	}
	if n := found("calloway"); n != 0 {
		t.Errorf("the forgotten name stands %d times in the files", n)
	}
	if found("tom ashdown") == 0 {
		t.Error("the other person is gone too")
	}
}

// A name in a database that was tampered with gives no orders to the terminal
// that shows it.
func TestFaultIsShownAsText(t *testing.T) {
	for _, f := range []Fault{{Site: "a\x1b[2J", Text: "x"}, {Site: "a", Place: 3, Text: "b\u009bc"}} {
		if got := f.String(); strings.ContainsAny(got, "\x1b\u009b") {
			t.Errorf("%q", got)
		}
	}
}
