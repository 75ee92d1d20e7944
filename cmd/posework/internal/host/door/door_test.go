package door

import (
	"errors"
	"io"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestPlace(t *testing.T) {
	for addr, want := range map[string]string{
		"192.0.2.7:1":               "192.0.2.7/32",
		"[::ffff:192.0.2.7]:1":      "192.0.2.7/32",
		"[2001:db8:1:2:3:4:5:6]:99": "2001:db8:1:2::/64",
		"[fe80::1%eth0]:1":          "fe80::/64",
		"somewhere":                 "invalid Prefix",
	} {
		if got := Place(text(addr)).String(); got != want {
			t.Errorf("Place(%s) = %s, want %s", addr, got, want)
		}
	}
}

type text string

func (t text) Network() string { return "tcp" }
func (t text) String() string  { return string(t) }

func gate(t *testing.T, limits Limits) (*Gate, <-chan *Conn) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	g := NewGate(l, limits)
	conns := make(chan *Conn, 100)
	go func() {
		for {
			c, err := g.Accept()
			if err != nil {
				close(conns)
				return
			}
			conns <- c.(*Conn)
		}
	}()
	t.Cleanup(func() { l.Close() })
	return g, conns
}

func connect(t *testing.T, g *Gate) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", g.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

// cut reports whether the other end closes within the time.
func cut(c net.Conn, within time.Duration) bool {
	_ = c.SetReadDeadline(time.Now().Add(within))
	_, err := c.Read(make([]byte, 1))
	return err != nil && !errors.Is(err, os.ErrDeadlineExceeded)
}

func TestGate(t *testing.T) {
	g, conns := gate(t, Limits{Waiting: 3, PerPlace: 2, Handshake: time.Minute, Login: time.Minute})
	connect(t, g)
	connect(t, g)
	first, second := <-conns, <-conns
	if !cut(connect(t, g), 10*time.Second) {
		t.Error("a third connection of one place is let through")
	}
	if n := g.Waiting(); n != 2 {
		t.Errorf("%d wait, want 2", n)
	}
	// Who is in does not count, and neither does who has gone; each once.
	for range 2 {
		if err := first.In(); err != nil {
			t.Fatal(err)
		}
		second.Close()
	}
	if n := g.Waiting(); n != 0 {
		t.Errorf("%d wait, want 0", n)
	}
	connect(t, g)
	connect(t, g)
	<-conns
	<-conns
}

// The deadlines hold, whatever the library above sets.
func TestDeadlines(t *testing.T) {
	limits := Limits{Waiting: 10, PerPlace: 10, Handshake: 150 * time.Millisecond, Login: 600 * time.Millisecond}
	g, conns := gate(t, limits)
	until := func(prepare func(*Conn)) time.Duration {
		connect(t, g)
		c := <-conns
		began := time.Now()
		prepare(c)
		_ = c.SetDeadline(time.Time{})
		_ = c.SetReadDeadline(time.Now().Add(time.Hour))
		_, err := c.Read(make([]byte, 1))
		if !errors.Is(err, os.ErrDeadlineExceeded) {
			t.Errorf("Read: %v", err)
		}
		return time.Since(began)
	}
	if d := until(func(*Conn) {}); d < limits.Handshake/2 {
		t.Errorf("the handshake had %v", d)
	}
	if d := until(func(c *Conn) { _ = c.Agreed() }); d < limits.Login-50*time.Millisecond {
		t.Errorf("the login had %v", d)
	}
	client := connect(t, g)
	c := <-conns
	if err := c.In(); err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(2*limits.Handshake, func() { _, _ = io.WriteString(client, "x") })
	if _, err := c.Read(make([]byte, 1)); err != nil {
		t.Errorf("who is in is cut: %v", err)
	}
}

func TestTries(t *testing.T) {
	now := time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)
	tries := &Tries{PerPlace: 2, All: 3, Span: time.Minute, Now: func() time.Time { return now }}
	a, b, c := netip.MustParsePrefix("192.0.2.1/32"), netip.MustParsePrefix("192.0.2.2/32"), netip.MustParsePrefix("192.0.2.3/32")
	want := func(p netip.Prefix, ok bool) {
		t.Helper()
		if got := tries.Allowed(p); got != ok {
			t.Errorf("Allowed(%v) = %v, want %v", p, got, ok)
		}
	}
	want(a, true)
	tries.Missed(a)
	want(a, true)
	now = now.Add(30 * time.Second)
	tries.Missed(a)
	want(a, false)
	want(b, true)
	tries.Missed(b)
	want(c, false) // too many in all
	now = now.Add(30 * time.Second)
	want(a, true) // the first is over, the second is not
	want(c, true)
	tries.Missed(a)
	want(a, false)
	now = now.Add(time.Hour)
	want(a, true)
	if len(tries.missed) != 0 || len(tries.places) != 0 {
		t.Errorf("what is over is kept: %v, %v", tries.missed, tries.places)
	}
}

func TestKey(t *testing.T) {
	file := filepath.Join(t.TempDir(), "data", "host-key")
	var wg sync.WaitGroup
	found := make([]string, 6)
	for i := range found {
		wg.Go(func() {
			key, err := Key(file)
			if err != nil {
				t.Errorf("Key: %v", err)
				return
			}
			found[i] = string(key.PublicKey().Marshal())
		})
	}
	wg.Wait()
	for _, f := range found {
		if f != found[0] || f == "" {
			t.Error("hosts that begin at the same moment have two keys")
		}
	}
	info, err := os.Stat(file)
	if err != nil || keepsModes && info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	entries, err := os.ReadDir(filepath.Dir(file))
	if err != nil || len(entries) != 1 {
		t.Errorf("beside the key lie %v, %v", entries, err)
	}
	if keepsModes {
		if err := os.Chmod(file, 0o640); err != nil {
			t.Fatal(err)
		}
		if _, err := Key(file); err == nil || !strings.Contains(err.Error(), "may be read by others (mode 0640); make it private: chmod 600") {
			t.Errorf("a key that others may read: %v", err)
		}
		if err := os.Chmod(file, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(file, []byte("no key"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Key(file); err == nil || !strings.Contains(err.Error(), "is damaged") {
		t.Errorf("a damaged key: %v", err)
	}
	if text, err := os.ReadFile(file); err != nil || string(text) != "no key" {
		t.Errorf("a damaged key was replaced by %q, %v", text, err)
	}
}
