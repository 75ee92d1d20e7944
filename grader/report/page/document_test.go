package page

import (
	"html"
	"strings"
	"testing"
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
