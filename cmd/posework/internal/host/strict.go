package host

import (
	"encoding/binary"
	"slices"
	"sync"

	"github.com/charmbracelet/ssh"
	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/paint"
)

// The SSH library answers requests that a course has no use for: it runs
// commands, takes any number of environment variables, says yes to forwarding an
// agent, and stands still when a terminal's size changes before its session has
// begun. What is below lets through what a session needs and nothing else.

// lineKey is where a connection's line is kept in its context.
type lineKey struct{}

// line is the one session of a connection, as the client describes it.
type line struct {
	mu    sync.Mutex
	taken bool
	sizes chan paint.Size // the newest size; room for one
	first paint.Size
}

// take reports whether this is the first session of the connection.
func (l *line) take() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	first := !l.taken
	l.taken = true
	return first
}

// strictSession opens one session a connection, with few requests.
func strictSession(srv *ssh.Server, conn *gossh.ServerConn, ch gossh.NewChannel, ctx ssh.Context) {
	l := lineOf(ctx)
	if !l.take() {
		_ = ch.Reject(gossh.Prohibited, "there is one session a connection")
		return
	}
	ssh.DefaultSessionHandler(srv, conn, strictChannel{ch, l}, ctx)
}

func lineOf(ctx ssh.Context) *line {
	ctx.Lock()
	defer ctx.Unlock()
	l, ok := ctx.Value(lineKey{}).(*line)
	if !ok {
		l = &line{sizes: make(chan paint.Size, 1)}
		ctx.SetValue(lineKey{}, l)
	}
	return l
}

type strictChannel struct {
	gossh.NewChannel
	line *line
}

// Accept accepts the channel and sieves its requests.
func (c strictChannel) Accept() (gossh.Channel, <-chan *gossh.Request, error) {
	ch, in, err := c.NewChannel.Accept()
	if err != nil {
		return nil, nil, err
	}
	out := make(chan *gossh.Request)
	go func() {
		defer close(out)
		s := sieve{line: c.line}
		for r := range in {
			if s.passes(r) {
				out <- r
			} else if r.WantReply {
				_ = r.Reply(s.done, nil)
			}
		}
	}()
	return ch, out, nil
}

// sieve decides about the requests of one session.
type sieve struct {
	line  *line
	env   int
	shell bool
	done  bool // the request that does not pass was dealt with
}

// What a client may say of itself.
const (
	mostEnv     = 16
	longestEnv  = 64
	longestTerm = 64
	longestPty  = 1024 // bytes of a request for a terminal, its modes included
)

// names of the variables that decide how text is shown, and nothing else.
func envNames() []string { return []string{"LANG", "LC_ALL", "LC_CTYPE", "COLORTERM", "NO_COLOR"} }

func (s *sieve) passes(r *gossh.Request) bool {
	s.done = false
	switch r.Type {
	case "shell":
		first := !s.shell
		s.shell = true
		return first && len(r.Payload) == 0
	case "pty-req":
		var p struct {
			Term                          string
			Cols, Rows, WidthPx, HeightPx uint32
			Modes                         string
		}
		if s.shell || len(r.Payload) > longestPty || gossh.Unmarshal(r.Payload, &p) != nil || len(p.Term) > longestTerm {
			return false
		}
		s.line.first = clamp(p.Cols, p.Rows)
		// The library is told of no size: a hostile one need not reach it.
		p.Cols, p.Rows, p.WidthPx, p.HeightPx = uint32(s.line.first.Width), uint32(s.line.first.Height), 0, 0
		r.Payload = gossh.Marshal(&p)
		return true
	case "window-change":
		if len(r.Payload) >= 8 {
			s.line.resize(clamp(binary.BigEndian.Uint32(r.Payload), binary.BigEndian.Uint32(r.Payload[4:])))
			s.done = true
		}
		return false
	case "env":
		var kv struct{ Name, Value string }
		if s.shell || s.env >= mostEnv || gossh.Unmarshal(r.Payload, &kv) != nil ||
			!slices.Contains(envNames(), kv.Name) || len(kv.Value) > longestEnv {
			return false
		}
		s.env++
		return true
	}
	return false
}

// The sizes that are drawn. Below the least, the course says what it needs.
const (
	mostColumns = 400
	mostRows    = 150
)

func clamp(columns, rows uint32) paint.Size {
	return paint.Size{Width: int(min(max(columns, 1), mostColumns)), Height: int(min(max(rows, 1), mostRows))}
}

// resize keeps the newest size only.
func (l *line) resize(s paint.Size) {
	select {
	case <-l.sizes:
	default:
	}
	select {
	case l.sizes <- s:
	default:
	}
}
