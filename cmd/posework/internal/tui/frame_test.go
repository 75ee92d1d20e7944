package tui

import (
	"context"
	"fmt"
	"io"
	"os"
	"slices"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"posework/cmd/posework/internal/paint"
	"posework/cmd/posework/internal/seat"
)

// typist is the real program on a terminal of pipes: keys go in, and every
// frame that comes out is noted with its size and its time.
type typist struct {
	tb     testing.TB
	keys   *io.PipeWriter
	frames chan frame
	done   chan error
	stop   context.CancelFunc
}

type frame struct {
	at    time.Time
	bytes int
}

// Write takes what the program sends to the terminal.
func (p *typist) Write(b []byte) (int, error) {
	select {
	case p.frames <- frame{time.Now(), len(b)}:
	default:
	}
	return len(b), nil
}

// Read and Close make it a terminal's two ends in one for the library.
type keyboard struct{ io.Reader }

func runProgram(tb testing.TB, s *seat.Seat, width, height int) *typist {
	tb.Helper()
	r, w := io.Pipe()
	p := &typist{tb: tb, keys: w, frames: make(chan frame, 4096), done: make(chan error, 1)}
	var ctx context.Context
	ctx, p.stop = context.WithCancel(context.Background())
	style := lipgloss.NewRenderer(io.Discard)
	style.SetColorProfile(termenv.ANSI)
	style.SetHasDarkBackground(true)
	app := New(ctx, s, NewTheme(style, true), "")
	target := paint.Target{In: keyboard{r}, Out: p, Size: paint.Size{Width: width, Height: height}, Pace: paint.Every(time.Second / 120)}
	go func() { p.done <- paint.Show(ctx, app, target, tea.WithoutSignalHandler()) }()
	tb.Cleanup(func() {
		p.stop()
		w.Close()
		<-p.done
	})
	return p
}

func (p *typist) press(keys string) {
	if _, err := io.WriteString(p.keys, keys); err != nil {
		p.tb.Fatal(err)
	}
}

// settle waits until nothing has come out for a while.
func (p *typist) settle() {
	for {
		select {
		case <-p.frames:
		case <-time.After(300 * time.Millisecond):
			return
		}
	}
}

// BenchmarkKeyToFrame is how long the real program takes, at 200x50 with the arm
// moving, from a key to the bytes of the next frame: the greatest time of 99 %
// of all keys, and the mean size of a frame.
func BenchmarkKeyToFrame(b *testing.B) {
	dir := b.TempDir()
	if err := os.WriteFile(dir+"/lift.yaml", []byte(liftProgram), 0o644); err != nil {
		b.Fatal(err)
	}
	b.Chdir(dir)
	p := runProgram(b, benchSeat(b), 200, 50)
	p.settle()
	p.press("\r")
	p.settle()
	p.press("p")
	p.settle()
	p.press("\r")
	p.settle()
	p.press("]]") // axis 1 at 50 mm/s
	p.settle()
	const plus, minus = "\x1b[C", "\x1b[D"
	var took []time.Duration
	bytes, frames := 0, 0
	key, held := plus, 0
	for b.Loop() {
		for len(p.frames) > 0 {
			f := <-p.frames
			bytes, frames = bytes+f.bytes, frames+1
		}
		if held%500 == 0 { // to and fro; the arm comes to rest in between
			p.settle()
			if held > 0 && key == plus {
				key = minus
			} else {
				key = plus
			}
			p.press(" ")
			for range 10 {
				p.press(key)
				time.Sleep(33 * time.Millisecond)
			}
		}
		held++
		for len(p.frames) > 0 {
			<-p.frames
		}
		start := time.Now()
		p.press(key)
		f := <-p.frames
		took = append(took, f.at.Sub(start))
		bytes, frames = bytes+f.bytes, frames+1
		time.Sleep(time.Until(start.Add(33 * time.Millisecond)))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "ms/p99")
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms/p50")
	b.ReportMetric(float64(bytes)/1024/float64(frames), "KB/frame")
	b.ReportMetric(0, "ns/op")
}

// BenchmarkPracticeView is the drawing alone.
func BenchmarkPracticeView(b *testing.B) {
	for _, size := range [][2]int{{80, 24}, {200, 50}} {
		b.Run(fmt.Sprintf("size=%dx%d", size[0], size[1]), func(b *testing.B) {
			d := atBench(b, liftProgram)
			d.size(size[0], size[1])
			d.hold("right", 0.5)
			b.ReportAllocs()
			for b.Loop() {
				d.app.View()
			}
		})
	}
}
