package page

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"golang.org/x/net/html"

	"posework/grader"
)

// parsed is a document as a browser reads it.
func parsed(t *testing.T, doc string) *html.Node {
	t.Helper()
	n, err := html.Parse(strings.NewReader(doc))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func attribute(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func content(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// elements returns the elements of some names, in order; of all when none is
// given.
func elements(root *html.Node, names ...string) (out []*html.Node) {
	for n := range root.Descendants() {
		if n.Type == html.ElementNode && (len(names) == 0 || slices.Contains(names, n.Data)) {
			out = append(out, n)
		}
	}
	return out
}

// written holds the documents once they are made, for all tests that read them.
var written struct {
	once sync.Once
	all  map[string]string
}

// documents are the kinds of document that there are.
func documents(t *testing.T) map[string]string {
	t.Helper()
	written.once.Do(func() {
		var single strings.Builder
		if err := Single(&single, class(t)[1]); err != nil {
			t.Fatal(err)
		}
		written.all = map[string]string{"class": document(t, class(t)), "single": single.String(), "hostile": document(t, hostileClass(t))}
	})
	return written.all
}

func each(t *testing.T, test func(t *testing.T, doc string, root *html.Node)) {
	for name, doc := range documents(t) {
		t.Run(name, func(t *testing.T) { test(t, doc, parsed(t, doc)) })
	}
}

// Headings begin with the only h1 and skip no level (WCAG 2.2, 1.3.1 and 2.4.6).
func TestHeadings(t *testing.T) {
	each(t, func(t *testing.T, _ string, root *html.Node) {
		level := 0
		for _, h := range elements(root, "h1", "h2", "h3", "h4", "h5", "h6") {
			next := int(h.Data[1] - '0')
			if next > level+1 || next == 1 && level > 0 {
				t.Errorf("%s %q follows a heading of level %d", h.Data, content(h), level)
			}
			if content(h) == "" {
				t.Errorf("an empty %s", h.Data)
			}
			level = next
		}
	})
}

// Every id is used once, and whatever refers to an id finds it.
func TestIdentifiers(t *testing.T) {
	each(t, func(t *testing.T, _ string, root *html.Node) {
		seen := map[string]bool{}
		for _, n := range elements(root) {
			if id := attribute(n, "id"); id != "" {
				if seen[id] {
					t.Errorf("id %q is used twice", id)
				}
				seen[id] = true
			}
		}
		for _, n := range elements(root) {
			refs := strings.Fields(attribute(n, "aria-labelledby") + " " + attribute(n, "aria-describedby"))
			if h := attribute(n, "href"); strings.HasPrefix(h, "#") {
				refs = append(refs, h[1:])
			}
			for _, id := range refs {
				if !seen[id] {
					t.Errorf("<%s> refers to id %q, which is not there", n.Data, id)
				}
			}
		}
	})
}

// Nothing comes from elsewhere, and nothing runs but the one script.
func TestSelfContained(t *testing.T) {
	outside := regexp.MustCompile(`(?i)url\(\s*['"]?(?:[a-z]+:|//)|@import|https?:`)
	each(t, func(t *testing.T, doc string, root *html.Node) {
		scripts := 0
		for _, n := range elements(root) {
			for _, a := range n.Attr {
				key := strings.ToLower(a.Key)
				switch {
				case strings.HasPrefix(key, "on"), key == "style", key == "srcset", key == "formaction", key == "action":
					t.Errorf("<%s> has the attribute %s", n.Data, a.Key)
				case key == "href" || key == "src" || key == "data":
					if !strings.HasPrefix(a.Val, "#") && a.Val != "data:," {
						t.Errorf("<%s> has %s=%q", n.Data, a.Key, a.Val)
					}
				}
			}
			switch n.Data {
			case "script":
				if attribute(n, "type") != "application/json" {
					scripts++
				}
			case "style":
				if outside.MatchString(content(n)) {
					t.Errorf("the style names something outside: %s", outside.FindString(content(n)))
				}
			case "img", "iframe", "object", "embed", "base", "form", "audio", "video":
				t.Errorf("there is a <%s>", n.Data)
			}
		}
		if scripts != 1 {
			t.Errorf("%d scripts, want 1", scripts)
		}
		for _, n := range elements(root, "meta") {
			if attribute(n, "http-equiv") == "Content-Security-Policy" && strings.HasPrefix(attribute(n, "content"), "default-src 'none'; ") {
				return
			}
		}
		t.Error("no policy that forbids everything else")
	})
}

// What is read aloud: landmarks, a language, a way past the head; pictures with
// their numbers, tables with captions and headers, controls with names.
func TestReadAloud(t *testing.T) {
	each(t, func(t *testing.T, _ string, root *html.Node) {
		for _, name := range []string{"header", "main", "footer", "title"} {
			if len(elements(root, name)) == 0 {
				t.Errorf("no <%s>", name)
			}
		}
		if lang := attribute(elements(root, "html")[0], "lang"); lang != "en" {
			t.Errorf("lang is %q", lang)
		}
		if first := elements(root, "a")[0]; attribute(first, "href") != "#main" {
			t.Errorf("the first link leads to %q, want #main", attribute(first, "href"))
		}
		for _, n := range elements(root, "svg") {
			if inSVG(n) || attribute(n, "aria-hidden") == "true" {
				continue
			}
			if attribute(n, "role") != "img" || attribute(n, "aria-labelledby") == "" {
				t.Errorf("a picture without a name: %v", n.Attr)
			}
			for _, d := range elements(n, "desc") {
				if !strings.ContainsAny(content(d), "0123456789") {
					t.Errorf("a picture's description has no numbers: %q", content(d))
				}
			}
		}
		for _, n := range elements(root, "table") {
			if len(elements(n, "caption")) != 1 {
				t.Error("a table without a caption")
			}
			for _, h := range elements(n, "th") {
				if s := attribute(h, "scope"); s != "col" && s != "row" {
					t.Errorf("header %q has scope %q", content(h), s)
				}
			}
		}
		for _, n := range elements(root, "button") {
			if attribute(n, "type") != "button" || content(n) == "" {
				t.Errorf("button %q of type %q", content(n), attribute(n, "type"))
			}
		}
		for _, n := range elements(root, "input", "select") {
			if n.Parent.Data != "label" || !strings.HasPrefix(content(n.Parent), map[string]string{"input": "Time", "select": "Pace"}[n.Data]) {
				t.Errorf("<%s> without a label", n.Data)
			}
		}
		for _, n := range elements(root, "section") {
			if attribute(n, "aria-labelledby") == "" {
				t.Error("a section without a name")
			}
		}
	})
}

func inSVG(n *html.Node) bool {
	for p := n.Parent; p != nil; p = p.Parent {
		if p.Data == "svg" {
			return true
		}
	}
	return false
}

// Everything that a learner must read stands in the page as text.
func TestNothingLost(t *testing.T) {
	attempts := class(t)
	root := parsed(t, document(t, attempts))
	all := content(root)
	for _, a := range attempts {
		for _, f := range findingsOf(a) {
			for _, want := range []string{f.Code, f.Text, f.Why, f.Try} {
				if !strings.Contains(all, strings.Join(strings.Fields(want), " ")) {
					t.Errorf("%s: %q is not in the page", a.File, want)
				}
			}
		}
		for _, e := range a.Errors {
			if want := fmt.Sprint(e.Pos); !strings.Contains(all, want) || !strings.Contains(all, e.Text) || !strings.Contains(all, e.Fix) {
				t.Errorf("%s: %v is not in the page", a.File, e)
			}
		}
	}
}

func findingsOf(a *Attempt) []grader.Finding {
	if a.Mark == nil {
		return nil
	}
	return a.Mark.Findings
}
