package main

import (
	"strings"
	"testing"

	"posework/grader/records"
)

// A key that came in a backup gives no orders to the terminal.
func TestAboutShowsKeys(t *testing.T) {
	var b strings.Builder
	if err := writeAbout(&b, records.About{Roster: []records.Person{{Name: "Jo Fenwick", Key: "ssh-ed25519 \x1b[2J\u009b31m"}}}); err != nil {
		t.Fatal(err)
	}
	if got := b.String(); strings.ContainsAny(got, "\x1b\u009b") || !strings.Contains(got, "ssh-ed25519 ⟨U+001B⟩[2J") {
		t.Errorf("about writes %q", got)
	}
}
