package page

import (
	"errors"
	"flag"
	"fmt"
	"html"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"posework/grader/report"
)

// The same attempts give the same bytes, graded anew.
func TestSameBytes(t *testing.T) {
	if a, b := document(t, class(t)), document(t, class(t)); a != b {
		t.Error("two runs over the same programs differ")
	}
}

// The policy names the digests of exactly the style and the script that the
// document holds.
func TestPolicyFitsTheDocument(t *testing.T) {
	doc := document(t, class(t))
	for _, part := range []struct{ before, after string }{{"<style>", "</style>"}, {"<script>", "</script>"}} {
		_, rest, ok := strings.Cut(doc, part.before)
		body, _, ok2 := strings.Cut(rest, part.after)
		if !ok || !ok2 || !strings.Contains(html.UnescapeString(doc), digest(body)) {
			t.Errorf("the digest of what stands in %s is not in the policy", part.before)
		}
	}
}

var update = flag.Bool("update", false, "rewrite the golden files")

// The part of a program that could not be graded, byte by byte.
func TestGolden(t *testing.T) {
	var b strings.Builder
	if err := Section(&b, class(t)[2]); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", "ungraded.html")
	if *update {
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("%s differs:\n%s\nwant:\n%s", path, b.String(), want)
	}
}

// An error while a part is made ends the document and is told.
func TestBrokenPart(t *testing.T) {
	broken := errors.New("no more")
	c := &Class{Title: "x"}
	err := c.Write(io.Discard, func(yield func(io.Reader, error) bool) { yield(nil, broken) })
	if !errors.Is(err, broken) {
		t.Errorf("Write = %v, want %v", err, broken)
	}
}

// A class of nobody is a document, too.
func TestEmptyClass(t *testing.T) {
	doc := document(t, nil)
	for _, want := range []string{"<dd>0</dd>", "Nothing was found.", "</html>"} {
		if !strings.Contains(doc, want) {
			t.Errorf("%q is not in the document of nobody", want)
		}
	}
}

// The order of findings: by learners, then by gravity.
func TestTallies(t *testing.T) {
	c := &Class{Rows: []Row{
		{Learner: "a", Graded: true, Points: 100, Pass: 80, Passed: true},
		{Learner: "b", Graded: true, Points: 79.96, Pass: 80, Findings: []report.Found{{Code: "FAST_APPROACH", Times: 3}, {Code: "CONTACT", Times: 1}}},
		{Learner: "c", Graded: true, Points: 0, Pass: 80, Findings: []report.Found{{Code: "FAST_APPROACH", Times: 1}}},
		{Learner: "d", Graded: true, Points: 50, Pass: 80, Findings: []report.Found{{Code: "APPROACH_TOO_LOW", Times: 1}}},
		{Learner: "e"},
	}}
	v := newClass(c)
	var got []string
	for _, f := range v.Findings {
		got = append(got, fmt.Sprintf("%s %d %d %s", f.Code, f.Learners, f.Times, f.Share))
	}
	want := []string{"FAST_APPROACH 2 4 40 %", "CONTACT 1 1 20 %", "APPROACH_TOO_LOW 1 1 20 %"}
	if !slices.Equal(got, want) {
		t.Errorf("findings %q, want %q", got, want)
	}
	if v.Passed != 1 || v.NotPassed != 3 || v.Ungraded != 1 || v.Median != "64.9" {
		t.Errorf("passed %d, not passed %d, not graded %d, median %s; want 1, 3, 1, 64.9", v.Passed, v.NotPassed, v.Ungraded, v.Median)
	}
	if b := v.Bins; b[9] != (bin{90, 100, 1, 0}) || b[7] != (bin{70, 80, 0, 1}) || b[0] != (bin{0, 10, 0, 1}) {
		t.Errorf("bins %v", v.Bins)
	}
}

// Who handed nothing in is named, and not counted.
func TestAbsent(t *testing.T) {
	c := &Class{Absent: []string{"Mara <b>Lind</b>", "Tom\u202eme"}}
	var b strings.Builder
	if err := c.Write(&b, func(func(io.Reader, error) bool) {}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Nothing handed in:", "Mara &lt;b&gt;Lind&lt;/b&gt;, Tom⟨U&#43;202E⟩me", "<dd>0</dd>"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is not in the document", want)
		}
	}
	if strings.Contains(document(t, nil), "Nothing handed in") {
		t.Error("a class in which nobody is missing names somebody")
	}
}
