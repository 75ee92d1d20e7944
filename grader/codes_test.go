package grader_test

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"posework/grader"
)

// TestMain fails when a code of the table was raised by no test: a row that no
// unsafe program reaches is a promise that nobody keeps.
func TestMain(m *testing.M) {
	status := m.Run()
	selected := slices.ContainsFunc(os.Args, func(a string) bool {
		return strings.HasPrefix(a, "-test.run=") || strings.HasPrefix(a, "-test.bench=") || strings.HasPrefix(a, "-test.fuzz") || strings.HasPrefix(a, "-test.skip")
	})
	stale, err := closeBooks()
	if err != nil {
		println(err.Error())
		status = 1
	}
	if status == 0 && !selected {
		for _, file := range stale {
			println("no test shows all that stands in", file)
			status = 1
		}
		for _, d := range grader.Codes() {
			if !raised[d.Code] {
				println("no test raises", d.Code)
				status = 1
			}
		}
	}
	os.Exit(status)
}

func TestCodes(t *testing.T) {
	name := regexp.MustCompile(`^[A-Z]+(_[A-Z]+)+$|^CONTACT$`)
	seen := map[string]bool{}
	kinds := map[string]bool{"any": true}
	for _, k := range grader.Kinds() {
		kinds[k.Name] = true
	}
	for _, d := range grader.Codes() {
		if !name.MatchString(d.Code) || seen[d.Code] {
			t.Errorf("code %q: want upper case words, each once", d.Code)
		}
		seen[d.Code] = true
		for _, text := range []string{d.Title, d.Meaning, d.Why, d.Try, d.Unsafe, d.Safe} {
			if strings.TrimSpace(text) == "" {
				t.Errorf("%s leaves a field empty", d.Code)
			}
		}
		for check := range strings.SplitSeq(d.Check, ", ") {
			if !kinds[check] {
				t.Errorf("%s names check %q, which does not exist", d.Code, check)
			}
		}
		if got, ok := grader.Lookup(d.Code); !ok || got != d {
			t.Errorf("Lookup(%q) = %v, %v", d.Code, got, ok)
		}
	}
	if _, ok := grader.Lookup("NO_SUCH_CODE"); ok {
		t.Error("Lookup of an unknown code succeeds")
	}
}

// Authors look the keys of checks up in DEVELOPERS.md: each check stands there.
func TestChecksAreDescribed(t *testing.T) {
	data, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := regexp.MustCompile("(?m)^\\| (`[^|]*) \\|").FindAllSubmatch(data, -1)
	for _, k := range grader.Kinds() {
		if !slices.ContainsFunc(rows, func(r [][]byte) bool { return strings.Contains(string(r[1]), "`"+k.Name+"`") }) {
			t.Errorf("DEVELOPERS.md has no row for the check %s", k.Name)
		}
	}
}
