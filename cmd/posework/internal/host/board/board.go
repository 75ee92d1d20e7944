// Package board is the page for the screen of a class's room: who is where, who
// is stuck, what was found so far. It is live without reloading, by server-sent
// events (WHATWG HTML, section 9.2).
//
// It only reads: there is nothing to send but GET and HEAD, and what it shows is
// escaped by html/template. Its one script and its style come from this program,
// and a content security policy lets nothing else in. Requests that name another
// host than an address or localhost are refused, so that no page elsewhere can
// have a browser read the board under a name of its own (DNS rebinding).
package board

import (
	"bytes"
	"cmp"
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
	"time"

	"golang.org/x/net/netutil"

	"posework/cmd/posework/internal/host/room"
)

//go:embed board.html board.css board.js
var files embed.FS

// Board shows a room. Room is needed.
type Board struct {
	Room      *room.Room
	Site      string // whose learners are shown; "": all sites'
	HideNames bool   // names are not sent at all; else whoever looks at the page may hide them
	Host      string // the name under which the board was told to listen, beside addresses and localhost
	Streams   int    // pages that are kept up to date at a time; 0: 50
	// Wait is how long a page may take to take what it is sent; 0: 10 s.
	Wait time.Duration
	// Quiet is the least time between two pictures; 0: 1 s.
	Quiet time.Duration
}

// Usual values.
const (
	usualStreams = 50
	usualWait    = 10 * time.Second
	usualQuiet   = time.Second
	beat         = 15 * time.Second // times pass, though nothing happens
	mostHeader   = 8 << 10
	mostConns    = 200 // at a time
)

// Serve shows the board until ctx is done. Slow clients are cut.
func (b *Board) Serve(ctx context.Context, l net.Listener) error {
	h, err := b.Handler()
	if err != nil {
		return err
	}
	wait := cmp.Or(b.Wait, usualWait)
	s := &http.Server{
		Handler:           h,
		ReadHeaderTimeout: wait, ReadTimeout: wait, WriteTimeout: wait, IdleTimeout: time.Minute,
		MaxHeaderBytes: mostHeader,
		ErrorLog:       log.New(io.Discard, "", 0), // what a stranger's browser does wrong is no news
	}
	stop := context.AfterFunc(ctx, func() { _ = s.Close() })
	defer stop()
	if err := s.Serve(netutil.LimitListener(l, mostConns)); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("the board: %w", err)
	}
	return nil
}

// Handler returns what answers requests.
func (b *Board) Handler() (http.Handler, error) {
	page, err := template.New("board.html").Funcs(template.FuncMap{"ago": ago}).ParseFS(files, "board.html")
	if err != nil {
		return nil, fmt.Errorf("the board: %w", err)
	}
	v := &view{Board: *b, page: page, streams: make(chan struct{}, cmp.Or(b.Streams, usualStreams))}
	v.Wait, v.Quiet = cmp.Or(b.Wait, usualWait), cmp.Or(b.Quiet, usualQuiet)
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", v.whole)
	mux.HandleFunc("GET /events", v.events)
	for _, name := range []string{"board.css", "board.js"} {
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) { http.ServeFileFS(w, r, files, name) })
	}
	return v.guard(mux), nil
}

type view struct {
	Board
	page    *template.Template
	streams chan struct{}
}

// policy is the content security policy (W3C CSP Level 3): this program's own
// script, style and events, and nothing else from anywhere.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// guard refuses what is no reading of the board.
func (v *view) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			h.Set("Allow", "GET, HEAD")
			http.Error(w, "the board can only be read", http.StatusMethodNotAllowed)
		case !v.ownName(r.Host):
			http.Error(w, "the board is not known under this name; use its address", http.StatusMisdirectedRequest)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// ownName reports whether a host named in a request can be this one. A name of a
// stranger's domain can't: only addresses, localhost and the name that the board
// was told to listen on.
func (v *view) ownName(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	if _, err := netip.ParseAddr(strings.Trim(name, "[]")); err == nil {
		return true
	}
	return strings.EqualFold(name, "localhost") || v.Host != "" && strings.EqualFold(name, v.Host)
}

// hidden reports whether a request wants no names, or gets none.
func (v *view) hidden(r *http.Request) bool {
	return v.HideNames || r.URL.Query().Get("names") == "hidden"
}

// whole writes the whole page.
func (v *view) whole(w http.ResponseWriter, r *http.Request) {
	var b bytes.Buffer
	if err := v.page.Execute(&b, v.look(v.hidden(r))); err != nil {
		http.Error(w, "the board can't be drawn", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(b.Bytes()) // who has gone has gone
}

// events writes the part that changes, whenever it has changed.
func (v *view) events(w http.ResponseWriter, r *http.Request) {
	select {
	case v.streams <- struct{}{}:
		defer func() { <-v.streams }()
	default:
		w.Header().Set("Retry-After", "30")
		http.Error(w, "as many pages are open as the board keeps up to date", http.StatusServiceUnavailable)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	if r.Method == http.MethodHead {
		return
	}
	changed, stop := v.Room.Watch()
	defer stop()
	ctl := http.NewResponseController(w)
	// Nothing more is read; the time for reading must not end the page.
	if err := ctl.SetReadDeadline(time.Time{}); err != nil {
		return
	}
	hidden := v.hidden(r)
	var last []byte
	for {
		text, err := v.part(hidden)
		if err != nil {
			return
		}
		if bytes.Equal(text, last) {
			text = []byte(": still here\n\n")
		} else {
			last = text
		}
		if err := ctl.SetWriteDeadline(time.Now().Add(v.Wait)); err != nil {
			return
		}
		if _, err := w.Write(text); err != nil {
			return
		}
		if err := ctl.Flush(); err != nil {
			return
		}
		if !wait(r, v.Quiet, nil) || !wait(r, beat, changed) {
			return
		}
	}
}

// wait waits for a time, or until something has changed; false: whoever looked has
// gone.
func wait(r *http.Request, d time.Duration, changed <-chan struct{}) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-r.Context().Done():
		return false
	case <-t.C:
	case <-changed:
	}
	return true
}

// part is the part that changes, as an event.
func (v *view) part(hidden bool) ([]byte, error) {
	var b bytes.Buffer
	if err := v.page.ExecuteTemplate(&b, "part", v.look(hidden)); err != nil {
		return nil, err
	}
	var event bytes.Buffer
	for line := range strings.Lines(b.String()) {
		event.WriteString("data: " + strings.TrimRight(line, "\r\n") + "\n")
	}
	event.WriteByte('\n')
	return event.Bytes(), nil
}

// shown is what the page shows.
type shown struct {
	room.State
	Hidden bool
	Fixed  bool // names can't be shown
	Size   string
	Stuck  int
	Most   int // of Found's counts
	Left   string
	Rule   string
}

// The numbers of learners up to which there is room for larger and smaller tiles.
const (
	few  = 12
	some = 36
)

// mostFound is how many findings there is room for.
const mostFound = 10

func (v *view) look(hidden bool) *shown {
	s := &shown{State: v.Room.State(v.Site), Hidden: hidden, Fixed: v.HideNames, Size: "many"}
	s.Rule = fmt.Sprintf("Stuck: nothing new for %.0f minutes in a lesson, or %d hand-ins in a row that have not passed.",
		room.StuckAfter.Minutes(), room.StuckMisses)
	switch n := len(s.Rows); {
	case n <= few:
		s.Size = "few"
	case n <= some:
		s.Size = "some"
	}
	for i := range s.Rows {
		if hidden {
			s.Rows[i].Name = fmt.Sprintf("Learner %d", s.Rows[i].Number)
			s.Rows[i].Crew = ""
		}
		if s.Rows[i].Stuck != "" {
			s.Stuck++
		}
	}
	if hidden {
		slices.SortStableFunc(s.Rows, func(a, b room.Row) int { return a.Number - b.Number }) // else the order tells
	}
	s.Found = s.Found[:min(len(s.Found), mostFound)]
	for _, f := range s.Found {
		s.Most = max(s.Most, f.Count)
	}
	if s.Exam != nil {
		s.Left = fmt.Sprintf("%d min left", int(s.Exam.Until.Sub(s.At)/time.Minute)+1)
	}
	return s
}

// ago is how long something has been so.
func ago(since, now time.Time) string {
	return fmt.Sprintf("%d min", max(0, int(now.Sub(since)/time.Minute)))
}
