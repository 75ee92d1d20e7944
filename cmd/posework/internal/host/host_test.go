package host

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"io"
	"net"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	gossh "golang.org/x/crypto/ssh"

	"posework/cmd/posework/internal/host/codes"
	"posework/cmd/posework/internal/host/door"
	"posework/grader/records"
	"posework/lessons"
)

var theCourse = sync.OnceValue(func() *lessons.Course {
	c, l := lessons.Load(lessons.Embedded(), ".")
	if len(l) > 0 {
		panic(l)
	}
	return c
})

// running is a host that serves while a test runs.
type running struct {
	*Host
	t    testing.TB
	addr string
	stop context.CancelFunc
	done chan error
}

// serve starts a host; change may change its options.
func serve(t testing.TB, change func(*Options)) *running {
	t.Helper()
	dir := t.TempDir()
	store, err := records.Open(t.Context(), filepath.Join(dir, "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	key, err := door.Key(filepath.Join(dir, "host-key"))
	if err != nil {
		t.Fatal(err)
	}
	o := Options{
		Course: theCourse(), Version: "v", Store: store, Key: key, Folder: filepath.Join(dir, "work"), CodeCost: codes.Cheap, Now: time.Now,
		Log: func(format string, args ...any) { t.Logf("host: "+format, args...) },
	}
	if change != nil {
		change(&o)
	}
	h, err := New(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	r := &running{Host: h, t: t, addr: l.Addr().String(), stop: stop, done: make(chan error, 1)}
	go func() { r.done <- h.Serve(ctx, l) }()
	t.Cleanup(r.close)
	return r
}

// close closes the host as a signal does.
func (r *running) close() {
	r.stop()
	if r.done == nil {
		return
	}
	select {
	case err := <-r.done:
		if err != nil {
			r.t.Errorf("Serve: %v", err)
		}
	case <-time.After(patience):
		r.t.Error("the host does not close")
	}
	r.done = nil
}

// person puts somebody on the roster and returns the key that lets them in.
func (r *running) person(name, role string) gossh.Signer {
	r.t.Helper()
	key := newKey(r.t)
	err := r.Store.AddPerson(context.Background(), records.Person{
		Name: name, Crew: "day", Role: role, Key: strings.TrimSpace(string(gossh.MarshalAuthorizedKey(key.PublicKey()))), At: time.Now(),
	})
	if err != nil {
		r.t.Fatal(err)
	}
	return key
}

// code gives somebody a one-time code.
func (r *running) code(name string) string {
	r.t.Helper()
	code, err := r.login.next(context.Background(), name)
	if err != nil {
		r.t.Fatal(err)
	}
	return code
}

func newKey(t testing.TB) gossh.Signer {
	t.Helper()
	_, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	key, err := gossh.NewSignerFromKey(private)
	if err != nil {
		t.Fatal(err)
	}
	return key
}

// typing answers what is asked when somebody logs in.
func typing(answers ...string) gossh.AuthMethod {
	return gossh.KeyboardInteractive(func(_, _ string, questions []string, _ []bool) ([]string, error) {
		if len(questions) == 0 {
			return nil, nil
		}
		if len(answers) == 0 {
			return nil, io.EOF
		}
		next := answers[0]
		answers = answers[1:]
		return []string{next}, nil
	})
}

// dial logs in.
func (r *running) dial(auth ...gossh.AuthMethod) (*gossh.Client, error) {
	conn, err := net.DialTimeout("tcp", r.addr, patience)
	if err != nil {
		return nil, err
	}
	_ = conn.SetDeadline(time.Now().Add(patience))
	c, chans, reqs, err := gossh.NewClientConn(conn, r.addr, &gossh.ClientConfig{
		User: "learner", Auth: auth, HostKeyCallback: gossh.FixedHostKey(r.Key.PublicKey()),
	})
	if err != nil {
		conn.Close()
		return nil, err
	}
	_ = conn.SetDeadline(time.Time{})
	client := gossh.NewClient(c, chans, reqs)
	r.t.Cleanup(func() { client.Close() })
	return client, nil
}

// client is a session of somebody at a terminal.
type client struct {
	*screen
	t       testing.TB
	session *gossh.Session
	keys    io.Writer
	ended   chan struct{}
}

// terminal opens a session at a terminal.
func (r *running) terminal(width, height int, auth ...gossh.AuthMethod) *client {
	r.t.Helper()
	c, err := r.dial(auth...)
	if err != nil {
		r.t.Fatal(err)
	}
	return r.sessionOf(c, width, height)
}

func (r *running) sessionOf(conn *gossh.Client, width, height int) *client {
	r.t.Helper()
	s, err := conn.NewSession()
	if err != nil {
		r.t.Fatal(err)
	}
	c := &client{screen: newScreen(width, height), t: r.t, session: s, ended: make(chan struct{})}
	s.Stdout = c.screen
	if c.keys, err = s.StdinPipe(); err != nil {
		r.t.Fatal(err)
	}
	if err := s.RequestPty("xterm-256color", height, width, gossh.TerminalModes{}); err != nil {
		r.t.Fatal(err)
	}
	if err := s.Shell(); err != nil {
		r.t.Fatal(err)
	}
	go func() {
		_ = s.Wait()
		close(c.ended)
	}()
	return c
}

// press sends keys as a terminal does.
func (c *client) press(keys ...string) {
	c.t.Helper()
	for _, k := range keys {
		if _, err := io.WriteString(c.keys, k); err != nil {
			c.t.Fatal(err)
		}
	}
}

// over waits for the session to end.
func (c *client) over() {
	c.t.Helper()
	select {
	case <-c.ended:
	case <-time.After(patience):
		c.t.Fatalf("the session does not end; it shows\n%s", c.text())
	}
}

// The keys of a terminal.
const (
	enter = "\r"
	esc   = "\x1b"
	down  = "\x1b[B"
	right = "\x1b[C"
	home  = "\x1b[H"
	ctrlC = "\x03"
)

// A learner comes in by key, another by a code, and both have the course, their
// own programs and their own records.
func TestLearnersComeIn(t *testing.T) {
	h := serve(t, nil)
	key := h.person("Ines Calloway", records.Learner)
	h.person("Zoë Marsh", records.Learner)
	ines := h.terminal(120, 40, gossh.PublicKeys(key))
	ines.sees(t, "Walk round the soap cell")
	ines.sees(t, "Ines Calloway")
	zoe := h.terminal(80, 24, typing(h.code("Zoë Marsh")))
	zoe.sees(t, "Your code is used up")
	next := regexp.MustCompile(`[0-9A-Z]{4}-[0-9A-Z]{4}-[0-9A-Z]{4}`).FindString(zoe.text())
	zoe.press("x", enter)
	zoe.sees(t, "Zoë Marsh")
	again := h.terminal(80, 24, typing(next))
	again.sees(t, "Your code is used up")
	for _, c := range []*client{ines, zoe} {
		if len(c.strange) > 0 {
			t.Errorf("the terminal is sent %v", c.strange)
		}
	}
	ines.press("jogging", enter)
	ines.sees(t, "p practise")
	ines.press("p")
	ines.sees(t, "device released")
	ines.press("r")
	ines.sees(t, "Record")
	ines.press(enter)
	ines.sees(t, "saved")
	ines.press(ctrlC)
	ines.over()
}
