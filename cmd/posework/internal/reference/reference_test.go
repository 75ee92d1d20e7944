package reference

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"posework/grader"
)

// Every entry is whole, and no code stands twice.
func TestEntriesAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range Entries() {
		if seen[e.Code] {
			t.Errorf("%s stands twice", e.Code)
		}
		seen[e.Code] = true
		note := strings.HasPrefix(e.Meaning, "A note") // there is nothing to mend
		if e.Title == "" || e.Meaning == "" || e.Unsafe == "" || e.Safe == "" && !note {
			t.Errorf("%s is not whole: %+v", e.Code, e)
		}
		if e.Group == Findings && (e.Check == "" || e.Why == "" || e.Try == "") {
			t.Errorf("%s does not say which check, why or what to try: %+v", e.Code, e)
		}
	}
	for _, c := range grader.Codes() {
		if !seen[c.Code] {
			t.Errorf("the grader's %s is not explained", c.Code)
		}
	}
}

// Every code that a package raises about a file has its entry: codes are found
// in the packages' own sources.
func TestEveryCodeIsExplained(t *testing.T) {
	known := map[string]bool{}
	for _, e := range Entries() {
		known[e.Code] = true
	}
	code := regexp.MustCompile(`"([A-Z][0-9]{3})"`)
	seen := map[string]bool{}
	for _, dir := range []string{"engine", "grader", "lessons"} {
		err := filepath.WalkDir(filepath.Join("..", "..", "..", "..", dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			text, err := os.ReadFile(path)
			for _, m := range code.FindAllStringSubmatch(string(text), -1) {
				seen[m[1]] = true
				if !known[m[1]] {
					t.Errorf("%s raises %s, which is not explained", path, m[1])
				}
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for c := range known {
		if len(c) == 4 && !seen[c] {
			t.Errorf("%s is explained and never raised", c)
		}
	}
}

func TestLookup(t *testing.T) {
	for typed, want := range map[string]string{"FAST_APPROACH": "FAST_APPROACH", "fast-approach": "FAST_APPROACH", "f012": "F012"} {
		if e, _, ok := Lookup(typed); !ok || e.Code != want {
			t.Errorf("Lookup(%q) = %q, %v, want %q", typed, e.Code, ok, want)
		}
	}
	if _, near, ok := Lookup("FAST_APROACH"); ok || near != "FAST_APPROACH" {
		t.Errorf("Lookup of a misspelling = %v, nearest %q", ok, near)
	}
	if _, near, ok := Lookup("nothing of the kind"); ok || near != "" {
		t.Errorf("Lookup of nonsense = %v, nearest %q", ok, near)
	}
}

// The page and the list hold every entry, and a text fits its width.
func TestPageListAndText(t *testing.T) {
	var page, list bytes.Buffer
	if err := Page(&page); err != nil {
		t.Fatal(err)
	}
	if err := List(&list); err != nil {
		t.Fatal(err)
	}
	for _, e := range Entries() {
		if !strings.Contains(page.String(), "\n### "+e.Code+": "+e.Title+"\n") {
			t.Errorf("the page lacks %s", e.Code)
		}
		if !strings.Contains(list.String(), "  "+e.Code+" ") {
			t.Errorf("the list lacks %s", e.Code)
		}
		var text strings.Builder
		if err := e.Text(&text, 80); err != nil {
			t.Fatal(err)
		}
		before, _, _ := strings.Cut(text.String(), "\nUnsafe\n") // examples are not wrapped
		before, _, _ = strings.Cut(before, "\nWrong\n")
		for _, line := range strings.Split(before, "\n") {
			if len(line) > 80 {
				t.Errorf("%s: line of %d columns: %q", e.Code, len(line), line)
			}
		}
	}
	if strings.Contains(page.String(), "—") {
		t.Error("the page has a dash that a plain terminal can't show")
	}
}
