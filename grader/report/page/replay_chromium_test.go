//go:build chromium

package page

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"posework/grader/report"
)

func TestChromiumConsole(t *testing.T) {
	for name, doc := range documents(t) {
		t.Run(name, func(t *testing.T) {
			b := open(t, doc)
			// Every part's replay, so that each one's data are read.
			n := eval[int](b, `(() => { const all = document.querySelectorAll('.replay [data-do=on]'); all.forEach(b => b.click()); return all.length })()`)
			if n == 0 {
				t.Error("there is no replay")
			}
			if eval[bool](b, `[...document.querySelectorAll('.replay')].some(r => r.hidden || !r.querySelector('.now').textContent.includes(' s'))`) {
				t.Error("a replay does not show where it is")
			}
			if strings.Contains(eval[string](b, `document.title`), "taken") {
				t.Error("a text of a learner was run")
			}
			b.quiet()
		})
	}
}

// second is the replay of the class's second learner.
const second = `document.querySelector('#l2 .replay')`

func TestChromiumReplayRuns(t *testing.T) {
	b := open(t, documents(t)["class"])
	arm := `document.querySelector('#l2 .views .moving').innerHTML`
	was := eval[string](b, arm)
	eval[bool](b, second+`.querySelector('.play').click() || true`)
	b.until(second + `.querySelector('input').value > 1`)
	if eval[string](b, arm) == was {
		t.Error("time passes, but the arm stands still")
	}
	if got := eval[string](b, second+`.querySelector('.play').textContent`); got != "Pause" {
		t.Errorf("the button says %q while the replay runs", got)
	}
	// Another learner's replay takes over.
	eval[bool](b, `document.querySelector('#l1 .play').click() || true`)
	if got := eval[string](b, second+`.querySelector('.play').textContent`); got != "Play" {
		t.Errorf("the button says %q while another replay runs", got)
	}
	eval[bool](b, `document.querySelector('#l1 .play').click() || true`)
	stood := eval[float64](b, `Number(document.querySelector('#l1 .replay input').value)`)
	eval[bool](b, `new Promise(done => setTimeout(() => done(true), 200))`)
	if now := eval[float64](b, `Number(document.querySelector('#l1 .replay input').value)`); now != stood {
		t.Errorf("a paused replay goes on from %v to %v s", stood, now)
	}
	b.quiet()
}

// The arm that the script draws is the one that the engine knows.
func TestChromiumReplayDrawsTheArm(t *testing.T) {
	attempts := append(class(t), otherArms(t)...)
	b := open(t, document(t, attempts))
	drawn := 0
	for _, a := range attempts {
		s := newStage(a)
		if s == nil {
			continue
		}
		drawn++
		for i := 0; i < len(s.states); i += 37 {
			seek := fmt.Sprintf(`(() => { const r = document.querySelector('#l%d .replay input'); r.value = %s; r.dispatchEvent(new Event('input', {bubbles: true})); return Number(r.value) })()`,
				a.Number, strconv.FormatFloat(s.graphs.Times[i], 'f', -1, 64))
			at := eval[float64](b, seek)
			a.Exam.Motion.At(at, &s.states[i])
			for k, v := range views {
				var want svg
				for _, t := range s.pose(&s.states[i]) {
					want.put("%s\n", v.outline(&t.body))
				}
				got := eval[string](b, fmt.Sprintf(`[...document.querySelectorAll('#l%d .views .moving')[%d].children].map(p => p.getAttribute('d')).join('\n')`, a.Number, k))
				compareOutlines(t, fmt.Sprintf("%s, %s, %v s", a.File, v.name, at), got, want.String())
			}
		}
	}
	if drawn != 5 { // two of the class, three other arms
		t.Errorf("%d replays were compared, want 5", drawn)
	}
	b.quiet()
}

// otherArms are motions of arms of other geometry, on a tilted foot: a wrist whose
// axes do not meet, an offset elbow.
func otherArms(t *testing.T) (all []*Attempt) {
	t.Helper()
	const program = "posework: program/1\ntitle: All axes\ntool: cup\nposes:\n" +
		"  a: {axes: [10, -20, 40, 15, 30, -60]}\n  b: {axes: [-60, 10, 10, -70, -50, 80]}\n" +
		"steps:\n  - {to: a, path: joint, speed: 20 %, end: stop}\n  - {to: b, path: joint, speed: 20 %, end: stop}\n"
	for i, arm := range []string{"alder", "aspen", "rowan"} {
		b := newBench(t, "arm: hazel\n", "arm: "+arm+"\nmount: {xyz: [50, -30, 120], rpy: [10, -5, 70]}\n")
		all = append(all, b.attempt(t, 5+i, arm, arm+".yaml", program))
	}
	return all
}

var number = regexp.MustCompile(`-?\d+(?:\.\d+)?`)

// compareOutlines compares what each body covers. Keyframes may be off by
// frameTolerance an axis; at a reach of 1.2 m that of the first three is 9 mm, were
// all of them off at once.
func compareOutlines(t *testing.T, what, got, want string) {
	t.Helper()
	g, w := strings.Split(strings.TrimSpace(got), "\n"), strings.Split(strings.TrimSpace(want), "\n")
	if len(g) != len(w) {
		t.Fatalf("%s: %d bodies are drawn, want %d", what, len(g), len(w))
	}
	for i := range g {
		a, b := covered(g[i]), covered(w[i])
		for k := range a {
			if !(math.Abs(a[k]-b[k]) <= 6) {
				t.Errorf("%s: body %d covers %.1f, want %.1f", what, i, a, b)
				break
			}
		}
	}
}

// covered is the rectangle about the corners of an outline.
func covered(d string) [4]float64 {
	r := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, part := range regexp.MustCompile(`[MLAa][^MLAaz]*`).FindAllString(d, -1) {
		var v []float64
		for _, n := range number.FindAllString(part, -1) {
			f, _ := strconv.ParseFloat(n, 64)
			v = append(v, f)
		}
		if part[0] == 'a' || len(v) < 2 {
			continue
		}
		x, y := v[len(v)-2], v[len(v)-1]
		r = [4]float64{min(r[0], x), min(r[1], y), max(r[2], x), max(r[3], y)}
	}
	return r
}

func TestChromiumKeyboard(t *testing.T) {
	b := open(t, documents(t)["class"])
	b.key("Tab", 9)
	if got := eval[string](b, `document.activeElement.textContent`); got != "Skip to the report" {
		t.Errorf("the first stop of the Tab key is %q", got)
	}
	eval[bool](b, second+`.querySelector('input').focus() || true`)
	b.key("ArrowRight", 39)
	if got := eval[string](b, second+`.querySelector('.now').textContent`); !strings.HasPrefix(got, "0.01 of ") {
		t.Errorf("after the right arrow the replay is at %q", got)
	}
	b.key("End", 35)
	if got := eval[string](b, second+`.querySelector('input').getAttribute('aria-valuetext')`); !strings.Contains(got, "step 14: joint to home") {
		t.Errorf("at the end the slider reads %q", got)
	}
	// From a finding to its moment.
	want := class(t)[1].Mark.Findings[0]
	eval[bool](b, `document.querySelector('#l2-f1 .jump').click() || true`)
	if got := eval[string](b, second+`.querySelector('.now').textContent`); !strings.HasPrefix(got, strconv.FormatFloat(want.From, 'f', 2, 64)) || !strings.Contains(got, "step "+want.Step) {
		t.Errorf("the finding at %s leads to %q", report.Span(want.From, want.To), got)
	}
	b.quiet()
}

// Who asks for less motion gets whole steps.
func TestChromiumReducedMotion(t *testing.T) {
	b := open(t, documents(t)["class"])
	b.media("", "prefers-reduced-motion", "reduce")
	eval[bool](b, second+`.querySelector('.play').click() || true`)
	b.until(second + `.querySelector('input').value > 0`)
	steps := eval[[]float64](b, `[...document.querySelectorAll('#l2 tr[data-at]')].map(r => Number(r.dataset.at))`)
	at := eval[float64](b, second+`.querySelector('input').valueAsNumber`)
	for _, s := range steps {
		if math.Abs(s-at) < 0.011 {
			b.quiet()
			return
		}
	}
	t.Errorf("the replay stopped at %v s, which is the start of no step (%v)", at, steps)
}

// The page fits a telephone, and a room's screen in both colours.
func TestChromiumFits(t *testing.T) {
	for name, doc := range documents(t) {
		t.Run(name, func(t *testing.T) {
			b := open(t, doc)
			for _, scheme := range []string{"light", "dark"} {
				b.media("", "prefers-color-scheme", scheme)
				for _, size := range [][2]int{{1280, 900}, {390, 844}, {320, 640}} {
					b.size(size[0], size[1])
					if w := eval[int](b, `document.documentElement.scrollWidth`); w > size[0] {
						wide := eval[string](b, fmt.Sprintf(`[...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > %d && !e.closest('.scroll')).map(e => e.tagName + '.' + e.className).slice(0, 5).join(' ')`, size[0]))
						t.Errorf("at %d px the page is %d px wide: %s", size[0], w, wide)
					}
					b.picture(fmt.Sprintf("%s-%s-%d", name, scheme, size[0]))
				}
				if c := contrast(b); c < 4.5 {
					t.Errorf("%s: the least contrast of text is %.2f, want 4.5 (WCAG 2.2, 1.4.3)", scheme, c)
				}
			}
			b.quiet()
		})
	}
}

// contrast is the least contrast of a text to the ground behind it.
func contrast(b *browser) float64 {
	return eval[float64](b, `(() => {
		const rgb = s => (s.match(/[\d.]+/g) || []).map(Number);
		const light = c => { const [r, g, b] = c.map(v => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4 }); return 0.2126 * r + 0.7152 * g + 0.0722 * b };
		const ground = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor); if (c.length === 3 || c[3] === 1) return c.slice(0, 3) } return [255, 255, 255] };
		let least = 21;
		for (const e of document.querySelectorAll('h1, h2, h3, h4, p, li, td, th, dt, dd, a, span, button, figcaption, caption, summary, label')) {
			if (!e.textContent.trim() || e.closest('svg')) continue;
			const a = light(rgb(getComputedStyle(e).color).slice(0, 3)), g = light(ground(e));
			least = Math.min(least, (Math.max(a, g) + 0.05) / (Math.min(a, g) + 0.05));
		}
		return least;
	})()`)
}

// On paper there are no controls, and each learner begins a page.
func TestChromiumPrints(t *testing.T) {
	attempts := class(t)
	b := open(t, document(t, attempts))
	b.media("print")
	shown := eval[[]string](b, `[...document.querySelectorAll('.replay, .jump, nav, .skip')].filter(e => getComputedStyle(e).display !== 'none').map(e => e.className)`)
	if len(shown) > 0 {
		t.Errorf("on paper there are %q", shown)
	}
	if eval[bool](b, `[...document.querySelectorAll('.stills li')].some(e => e.getBoundingClientRect().height < 40)`) {
		t.Error("a still is missing on paper")
	}
	if got := eval[string](b, `getComputedStyle(document.querySelector('.learner')).breakBefore`); got != "page" {
		t.Errorf("break before a learner: %q", got)
	}
	var r struct{ Data []byte }
	b.call("Page.printToPDF", map[string]any{"printBackground": true}, &r)
	if n := strings.Count(string(r.Data), "/Type /Page\n"); n < len(attempts)+1 {
		t.Errorf("%d pages for a class of %d", n, len(attempts))
	}
	b.quiet()
}
