package page

import (
	"strings"
	"testing"
	"unicode"

	"golang.org/x/net/html"

	"posework/engine/diag"
	"posework/grader/report"
)

// hostile are texts that try to leave their place in a page.
var hostile = []string{
	`<script>document.title='taken'</script>`,
	`"><img src=x onerror="document.title='taken'">`,
	`'><svg onload=alert(1)>`,
	`</title></style></script></svg></desc><h1>taken</h1>`,
	`--><!--`,
	`]]><![CDATA[`,
	`&lt;script&gt;`,
	"javascript:alert(1)",
	"\u202egnp.yaml\u202c",
	"a\u2066b\u2069\u200b\ufeff\u061c",
	"tab\tnew\nline\r\x00\x1b[31mred\x7f\u0085\u2028",
	"\xff\xfe broken",
	strings.Repeat("e\u0301", 3) + "e" + strings.Repeat("\u0300", 40),
	strings.Repeat("long", 200),
	"{{.Title}}",
	"${document.title}",
	"",
}

// hostileClass puts each text everywhere that a text from outside can stand.
func hostileClass(t testing.TB) []*Attempt {
	t.Helper()
	b := newBench(t)
	fast := swap(t, read(t, "pick.yaml"), "speed: 80 mm/s, end: stop}  # s9.", "speed: 400 mm/s, end: stop}  # s9.")
	var all []*Attempt
	for i, text := range hostile {
		a := b.attempt(t, i+1, text, text, fast)
		a.Lesson = Lesson{text, text, text}
		a.Own = []report.Own{{Key: text, Value: 1, Unit: text}}
		for k := range a.Mark.Findings {
			f := &a.Mark.Findings[k]
			f.Subject, f.Text, f.Why, f.Try, f.Step, f.Pos.Filename = text, text, text, text, text, text
		}
		for k := range a.Mark.Checks {
			a.Mark.Checks[k].Title, a.Mark.Checks[k].Subject = text, text
		}
		for k := range a.Exam.Motion.Steps {
			s := &a.Exam.Motion.Steps[k]
			s.Label = text
			source := *s.Source
			source.To.Name = text
			s.Source = &source
		}
		all = append(all, a)
	}
	cell := *b.cell
	for i := range cell.Solids {
		cell.Solids[i].Name = hostile[i%len(hostile)]
	}
	for i := range cell.Zones {
		cell.Zones[i].Name = hostile[i%len(hostile)]
	}
	for i := range cell.Frames {
		cell.Frames[i].Name = hostile[i%len(hostile)]
	}
	wrong := &Attempt{Number: len(all) + 1, Learner: hostile[0], File: hostile[1]}
	for _, text := range hostile {
		wrong.Errors.Add(diag.Pos{Filename: text, Line: 1, Column: 1}, text, text, "%s", text)
	}
	return append(all, wrong)
}

// A page of hostile texts has the elements of a page of harmless ones, and every
// text reads as it was written.
func TestHostileTexts(t *testing.T) {
	doc := documents(t)["hostile"]
	root := parsed(t, doc)
	title := elements(root, "title")[0]
	if content(title) != "Tuesday, early shift" {
		t.Errorf("the title is %q", content(title))
	}
	if n := len(elements(root, "h1")); n != 1 {
		t.Errorf("%d headings of level 1, want 1", n)
	}
	allowed := map[string]bool{}
	for _, n := range elements(parsed(t, documents(t)["class"])) {
		allowed[n.Data] = true
	}
	for _, n := range elements(root) {
		if !allowed[n.Data] {
			t.Errorf("there is a <%s>", n.Data)
		}
	}
	for n := range root.Descendants() {
		if n.Type == html.CommentNode {
			t.Errorf("there is a comment: %q", n.Data)
		}
	}
	names := map[string]bool{}
	for _, h := range elements(root, "h2") {
		names[content(h)] = true
	}
	for _, text := range hostile {
		if text == "" {
			text = "nameless"
		}
		if want := strings.Join(strings.Fields(visible(text)), " "); !names[want] {
			t.Errorf("no learner is called %q", want)
		}
	}
	for i, r := range doc {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\ufffd') {
			t.Errorf("byte %d is the hidden character %U", i, r)
			break
		}
	}
}

func TestVisible(t *testing.T) {
	for in, want := range map[string]string{
		"Ada Quill":                       "Ada Quill",
		"Zoë Ångström":                    "Zoë Ångström",
		"山田　太郎":                           "山田　太郎",
		"محمد":                            "محمد",
		"नमस्ते":                          "नमस्ते",
		"👩\u200d🔧":                        "👩\u200d🔧",
		"a\u202eb":                        "a⟨U+202E⟩b",
		"a\tb\x00":                        "a⟨U+0009⟩b⟨U+0000⟩",
		"\xff":                            "⟨FF⟩",
		"\u3164":                          "⟨U+3164⟩",
		"zero\u200bgap":                   "zero⟨U+200B⟩gap",
		"e" + strings.Repeat("\u0300", 8): "e" + strings.Repeat("\u0300", 6) + "⟨U+0300⟩⟨U+0300⟩",
	} {
		if got := visible(in); got != want {
			t.Errorf("visible(%q) = %q, want %q", in, got, want)
		}
	}
}

func FuzzVisible(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, r := range visible(s) {
			if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
				t.Errorf("visible(%q) shows %U", s, r)
			}
		}
		if again := visible(visible(s)); again != visible(s) {
			t.Errorf("visible(visible(%q)) = %q", s, again)
		}
	})
}
