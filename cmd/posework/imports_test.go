package main

import (
	"encoding/json"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// layers is the direction of imports: a package imports its own layer and those
// before it.
var layers = []string{"kin", "engine", "grader", "lessons", "cmd"}

// layer returns the place of a package in layers, -1 for one of another module.
func layer(path string) int {
	rest, ours := strings.CutPrefix(path, "posework/")
	if !ours {
		return -1
	}
	top, _, _ := strings.Cut(rest, "/")
	return slices.Index(layers, top)
}

// listed is a package as go list tells it.
type listed struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
}

// upward returns the imports that run against the direction.
func upward(p listed) []string {
	var wrong []string
	for _, imported := range slices.Concat(p.Imports, p.TestImports, p.XTestImports) {
		if layer(imported) > layer(p.ImportPath) {
			wrong = append(wrong, imported)
		}
	}
	return wrong
}

func TestImportsRunOneWay(t *testing.T) {
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports,TestImports,XTestImports", "posework/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	d := json.NewDecoder(strings.NewReader(string(out)))
	seen := 0
	for d.More() {
		var p listed
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		seen++
		if layer(p.ImportPath) < 0 {
			t.Errorf("%s lies outside %s", p.ImportPath, strings.Join(layers, ", "))
		}
		for _, imported := range upward(p) {
			t.Errorf("%s imports %s, against %s", p.ImportPath, imported, strings.Join(layers, " <- "))
		}
	}
	if seen < len(layers) {
		t.Errorf("go list tells of %d packages", seen)
	}
}

func TestUpwardImportIsCaught(t *testing.T) {
	p := listed{ImportPath: "posework/kin/arm", Imports: []string{"math", "posework/kin"}, XTestImports: []string{"posework/engine/cell"}}
	if got := upward(p); !slices.Equal(got, []string{"posework/engine/cell"}) {
		t.Errorf("upward = %q", got)
	}
	if got := upward(listed{ImportPath: "posework/grader", Imports: []string{"posework/grader/quiz", "posework/kin"}}); got != nil {
		t.Errorf("upward = %q, want none", got)
	}
}
