package tui

import (
	"math"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"posework/cmd/posework/internal/picture"
)

// lookout is where a picture of a cell is looked at from.
type lookout struct {
	cam    picture.Camera
	view   int  // index into picture.Views, of the one that was chosen last
	loose  bool // moved or zoomed by hand: stays so when the picture's size changes
	whole  bool // fitted to all there is, not to the work alone
	names  bool
	glyphs picture.Glyphs
	canvas *picture.Canvas
	pens   picture.Pens
}

func newLookout(t *Theme) lookout {
	l := lookout{canvas: new(picture.Canvas), pens: t.pens(), names: true}
	if t.Rule == "-" {
		l.glyphs = picture.ASCII
	}
	l.cam = l.cam.Look(picture.Views()[0])
	return l
}

// pens are the colours of a picture. Bodies of the cell have none, so that the
// arm and what is told about it stand out.
func (t *Theme) pens() picture.Pens {
	var p picture.Pens
	style := func(ink picture.Ink, s lipgloss.Style) {
		before, after, _ := strings.Cut(s.Render("."), ".")
		p.On[ink] = before
		if after != "" {
			p.Off = after
		}
	}
	colour := func(c string) lipgloss.Style { return t.renderer.NewStyle().Foreground(lipgloss.Color(c)) }
	style(picture.Ground, t.Faint)
	style(picture.Solid, t.Faint)
	style(picture.SpeedZone, colour("3"))
	style(picture.KeepOut, colour("1"))
	style(picture.Part, colour("3"))
	style(picture.Held, colour("3").Bold(true))
	style(picture.Tool, colour("6").Bold(true))
	style(picture.Trace, colour("2"))
	style(picture.AxisX, colour("1"))
	style(picture.AxisY, colour("2"))
	style(picture.AxisZ, colour("4"))
	style(picture.Label, t.Title)
	style(picture.Alarm, colour("1").Bold(true))
	return p
}

const (
	turnStep = 10 * math.Pi / 180
	zoomStep = 1.25
	panStep  = 0.1 // of the picture
)

// obey does what a key for the view says, and reports whether it was one.
func (l *lookout) obey(a action) bool {
	switch a {
	case turnLeft:
		l.cam = l.cam.Turned(-turnStep, 0)
	case turnRight:
		l.cam = l.cam.Turned(turnStep, 0)
	case tiltUp:
		l.cam = l.cam.Turned(0, turnStep)
	case tiltDown:
		l.cam = l.cam.Turned(0, -turnStep)
	case zoomIn:
		l.cam, l.loose = l.cam.Zoomed(zoomStep), true
	case zoomOut:
		l.cam, l.loose = l.cam.Zoomed(1/zoomStep), true
	case panLeft:
		l.cam, l.loose = l.cam.Panned(-panStep, 0), true
	case panRight:
		l.cam, l.loose = l.cam.Panned(panStep, 0), true
	case panUp:
		l.cam, l.loose = l.cam.Panned(0, panStep), true
	case panDown:
		l.cam, l.loose = l.cam.Panned(0, -panStep), true
	case fitView:
		if !l.loose {
			l.whole = !l.whole
		}
		l.loose = false
	case nextView:
		views := picture.Views()
		l.view = (l.view + 1) % len(views)
		l.cam = l.cam.Look(views[l.view])
	case showNames:
		l.names = !l.names
	case otherGlyphs:
		l.glyphs ^= picture.ASCII
	default:
		return false
	}
	return true
}

// fit brings the scene into a picture of a size, unless somebody has chosen what
// to look at. It is not done for every picture, so that things hold still while
// the arm moves.
func (l *lookout) fit(s *picture.Scene, size picture.Size) {
	switch {
	case l.loose:
	case l.whole:
		l.cam = l.cam.Fit(s, size)
	default:
		l.cam = l.cam.FitWork(s, size)
	}
}

// draw returns the picture, a line a row, each as wide as the picture.
func (l *lookout) draw(s *picture.Scene, size picture.Size) []string {
	l.canvas.Draw(s, &l.cam, size, l.glyphs)
	rows := make([]string, size.Height)
	var b []byte
	for i := range rows {
		b = l.canvas.AppendRow(b[:0], i, &l.pens)
		rows[i] = string(b)
	}
	return rows
}
