package page

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"

	"posework/engine/diag"
)

//go:embed parts
var parts embed.FS

var templates = template.Must(template.New("").Funcs(template.FuncMap{"count": diag.Count, "mark": mark}).ParseFS(parts, "parts/*.html"))

// head is what a document's frame needs.
type head struct {
	Title  string
	Policy string // what the browser may load and run
	Style  template.CSS
	Script template.JS
}

func newHead(title string) head {
	style, script := part("parts/page.css"), part("parts/replay.js")
	return head{
		Title: visible(title),
		Policy: "default-src 'none'; style-src " + digest(style) + "; script-src " + digest(script) +
			"; img-src data:; base-uri 'none'; form-action 'none'",
		Style: template.CSS(style), Script: template.JS(script),
	}
}

func part(name string) string {
	b, err := parts.ReadFile(name)
	if err != nil {
		panic("page: " + err.Error()) // it is compiled in
	}
	return string(b)
}

// digest is a source expression of a content security policy that allows one
// text and no other.
func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
