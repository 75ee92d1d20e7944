package tui

import (
	"cmp"
	"slices"
	"strings"
)

// action is what a key does.
type action uint8

// The actions.
const (
	nothing action = iota
	goUp
	goDown
	goPageUp
	goPageDown
	goFirst
	goLast
	open
	leave
	handIn
	practise
	view
	ask
	hint
	toTask
	again
	checks
	complete
	toggle
	erase
)

// key is one row of a screen's table of keys. The table is what the screen
// obeys, what the foot of the screen shows and what ? lists.
type key struct {
	do    action
	keys  []string // as the terminal names them
	name  string   // as people name them
	short string   // for the foot of the screen; "" keeps it out of there
	long  string   // for the list
}

// keyTable is the keys of a screen.
type keyTable []key

// match returns what a key does, nothing where it has no meaning.
func (t keyTable) match(name string) action {
	for _, k := range t {
		if slices.Contains(k.keys, name) {
			return k.do
		}
	}
	return nothing
}

// The keys that move in every list and text.
var (
	upDown = []key{
		{goUp, []string{"up"}, "up", "", "one line up"},
		{goDown, []string{"down"}, "down", "", "one line down"},
	}
	leaving = key{leave, []string{"esc"}, "esc", "back", "back to where you came from"}
)

// everywhere are the keys that App obeys itself.
var everywhere = keyTable{
	{nothing, []string{"?", "f1"}, "?", "keys", "this list"},
	{nothing, []string{"ctrl+c"}, "ctrl+c", "", "leave posework; what you handed in and answered is kept"},
}

// pairs names, for the foot of a screen, two keys that belong together by the second.
var pairs = map[string]string{"down": "up/down", "right": "left/right"}

// foot is the line of keys at the foot of a screen: as many as fit, the way back and
// the list of keys always among them.
func (t keyTable) foot(th *Theme, width int) string {
	var items []string
	last := []string{th.Key.Render("?") + " keys"}
	for _, k := range t {
		item := th.Key.Render(cmp.Or(pairs[k.name], k.name)) + " " + k.short
		switch {
		case k.short == "":
		case k.do == leave:
			last = append([]string{item}, last...)
		default:
			items = append(items, item)
		}
	}
	line := func(n int, gap string) string {
		return " " + strings.Join(slices.Concat(items[:n], last), gap)
	}
	if all := line(len(items), "   "); lineWidth(all) <= width {
		return all
	}
	n := len(items)
	for n > 0 && lineWidth(line(n, "  ")) > width {
		n--
	}
	return line(n, "  ")
}

// list is the whole table, for the screen that ? opens, in lines of a width.
func (t keyTable) list(th *Theme, width int) []string {
	var lines []string
	for i, k := range slices.Concat(t, everywhere) {
		if i >= len(t) && slices.ContainsFunc(t, func(own key) bool { return own.name == k.name }) {
			continue
		}
		lines = append(lines, strings.Split(bullet("   "+th.Key.Render(pad(k.name, 12))+" ", k.long, width), "\n")...)
	}
	return lines
}
