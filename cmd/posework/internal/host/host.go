// Package host gives learners the course over SSH, with nothing to install: each
// comes in by a key or a one-time code of the roster, has their own records, their
// own cells and their own folder, and nothing else of the machine.
//
// The threats that it stands up to are listed in DEVELOPERS.md, each with its
// test. [New] and [Host.Serve] are the way in; what is in other packages: door
// (before anybody has logged in), codes (one-time codes), room (who is where, what
// is ruled), board (the page for the room's screen), desk (the instructor's
// screens).
package host

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"runtime"
	"sync"
	"time"

	"github.com/charmbracelet/ssh"
	"github.com/charmbracelet/wish"
	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/host/door"
	"posework/cmd/posework/internal/host/room"
	"posework/cmd/posework/internal/marking"
	"posework/grader/records"
	"posework/lessons"
)

// Options is what a host is made of. Course, Store, Key and Folder are needed.
type Options struct {
	Course  *lessons.Course // as written; each learner gets cells of their own
	Version string          // of the course
	Store   *records.Store
	Key     gossh.Signer   // by which clients know the host
	Folder  string         // below it each learner has a folder
	Grader  marking.Grader // of what is handed in; nil: this process grades
	Roster  []string       // who may come in; nil: everybody with a key or a code in the records

	Sessions  int           // at a time; 0: 200
	PerPerson int           // of them, one person's; 0: 3
	Idle      time.Duration // without a key; 0: 30 minutes
	Stall     time.Duration // a client that takes nothing for so long is cut; 0: 20 seconds
	Limits    door.Limits   // of connections on which nobody has logged in; zero: the usual
	CodeCost  int           // of checking a one-time code; 0: the usual
	Now       func() time.Time
	Log       func(format string, args ...any) // what whoever runs the host should know; nil: nothing
}

// Host is a host that serves or will.
type Host struct {
	Options
	Room *room.Room

	login   *login
	graders chan struct{}
	work    context.Context // of what a session has begun and must be finished
	stop    context.CancelFunc
	mu      sync.Mutex
	closed  bool
	running sync.WaitGroup // sessions
	server  *ssh.Server
	pace    pace
}

// The usual values of Options.
const (
	usualSessions  = 200
	usualPerPerson = 3
	usualIdle      = 30 * time.Minute
	usualStall     = 20 * time.Second
)

// GCPercent is how much a host's heap may grow between two collections: sessions
// are small and draw a lot. See [runtime/debug.SetGCPercent].
const GCPercent = 800

// Limits that are not options.
const (
	saveTime   = 10 * time.Second // for saving everybody when the host closes
	mostLogins = 8                // ways in that may be tried on a connection, keys of an agent among them
	readEvery  = time.Second      // how often the records are looked at for what is new
)

// New returns a host that is ready to serve.
func New(ctx context.Context, o Options) (*Host, error) {
	if o.Sessions == 0 {
		o.Sessions = usualSessions
	}
	if o.PerPerson == 0 {
		o.PerPerson = usualPerPerson
	}
	if o.Idle == 0 {
		o.Idle = usualIdle
	}
	if o.Stall == 0 {
		o.Stall = usualStall
	}
	if o.Limits == (door.Limits{}) {
		o.Limits = door.Usual()
	}
	if o.Log == nil {
		o.Log = func(string, ...any) {}
	}
	if err := os.MkdirAll(o.Folder, 0o700); err != nil {
		return nil, fmt.Errorf("make the folder for learners' programs: %w", err)
	}
	r, err := room.New(ctx, o.Course, o.Store, o.Now, o.Now().Add(-sessionLength))
	if err != nil {
		return nil, err
	}
	h := &Host{Options: o, Room: r, graders: make(chan struct{}, runtime.GOMAXPROCS(0))}
	if h.login, err = newLogin(o.Store, o.Roster, o.Now, o.CodeCost); err != nil {
		return nil, err
	}
	h.work, h.stop = context.WithCancel(context.WithoutCancel(ctx))
	h.server, err = wish.NewServer(h.configure)
	return h, err
}

// sessionLength is how far back the board looks when a host is started anew in the
// middle of a class.
const sessionLength = 90 * time.Minute

// configure sets the SSH server up: one session a connection and nothing else.
func (h *Host) configure(s *ssh.Server) error {
	s.Version = "posework"
	s.AddHostKey(h.Key)
	s.Handler = h.session
	s.PublicKeyHandler = h.login.byKey
	s.KeyboardInteractiveHandler = h.login.byCode
	s.ChannelHandlers = map[string]ssh.ChannelHandler{"session": strictSession}
	s.RequestHandlers = map[string]ssh.RequestHandler{}     // no forwarding of ports
	s.SubsystemHandlers = map[string]ssh.SubsystemHandler{} // no transfer of files
	s.PtyCallback = func(ssh.Context, ssh.Pty) bool { return true }
	s.ConnCallback = func(ctx ssh.Context, c net.Conn) net.Conn {
		ctx.SetValue(connKey{}, c)
		return c
	}
	s.ServerConfigCallback = func(ctx ssh.Context) *gossh.ServerConfig {
		return &gossh.ServerConfig{
			MaxAuthTries: mostLogins,
			PreAuthConnCallback: func(gossh.ServerPreAuthConn) {
				if c, ok := ctx.Value(connKey{}).(*door.Conn); ok {
					_ = c.Agreed() // a connection that is gone is noticed soon enough
				}
			},
		}
	}
	return nil
}

// connKey is where a connection is kept in its context.
type connKey struct{}

// Serve serves until ctx is done. Then it takes no more connections, has every
// session save and tell its learner, and returns once they have.
func (h *Host) Serve(ctx context.Context, l net.Listener) error {
	follow, stopFollowing := context.WithCancel(ctx)
	defer stopFollowing()
	var following sync.WaitGroup
	following.Go(func() { h.Room.Follow(follow, readEvery, h.trouble()) })
	defer following.Wait()
	defer stopFollowing()

	gone := make(chan error, 1)
	gate := door.NewGate(l, h.Limits)
	go func() { gone <- h.server.Serve(gate) }()
	select {
	case err := <-gone:
		h.close()
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	err := l.Close()
	h.close()
	<-gone
	if errors.Is(err, net.ErrClosed) {
		err = nil
	}
	return err
}

// begin counts a session that begins, unless the host is closing.
func (h *Host) begin() bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return false
	}
	h.running.Add(1)
	return true
}

// close ends the sessions.
func (h *Host) close() {
	h.mu.Lock()
	h.closed = true
	h.mu.Unlock()
	h.Room.Tell(room.Event{Kind: room.Closing})
	saved := make(chan struct{})
	go func() {
		h.running.Wait()
		// What was handed in is graded to the end.
		for range cap(h.graders) {
			h.graders <- struct{}{}
		}
		close(saved)
	}()
	select {
	case <-saved:
	case <-time.After(saveTime):
		h.Log("some sessions did not end in %v", saveTime)
	}
	h.stop()
	_ = h.server.Close()
}

// trouble returns a function that logs what goes wrong with the records, once.
func (h *Host) trouble() func(error) {
	var last string
	return func(err error) {
		text := ""
		if err != nil {
			text = err.Error()
		}
		if text != last && text != "" {
			h.Log("read the records: %s", text)
		} else if text != last {
			h.Log("the records can be read again")
		}
		last = text
	}
}
