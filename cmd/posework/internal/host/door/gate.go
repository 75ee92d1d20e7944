// Package door is what stands between the network and a host's sessions: how
// many connections there may be before anybody has logged in, how long they may
// take, how often one may try, and the key by which clients know the host.
//
// It knows nothing of SSH but the form of a key, and nothing of learners.
package door

import (
	"net"
	"net/netip"
	"sync"
	"time"
)

// Limits bound connections on which nobody has logged in.
type Limits struct {
	Waiting   int           // at a time, from everywhere
	PerPlace  int           // at a time, from one place; see [Place]
	Handshake time.Duration // for agreeing on keys
	Login     time.Duration // for logging in afterwards, with a code to be typed
}

// Usual returns the limits of a host: a class behind one address comes in at
// once, and who holds connections open without logging in loses them soon.
func Usual() Limits {
	return Limits{Waiting: 200, PerPlace: 50, Handshake: 10 * time.Second, Login: 90 * time.Second}
}

// Gate is a listener that lets through only so many connections on which nobody
// has logged in. Those beyond are closed at once, without a word.
type Gate struct {
	net.Listener
	limits Limits

	mu      sync.Mutex
	waiting map[netip.Prefix]int
	total   int
}

// NewGate puts a gate before a listener.
func NewGate(l net.Listener, limits Limits) *Gate {
	return &Gate{Listener: l, limits: limits, waiting: map[netip.Prefix]int{}}
}

// Accept returns the next connection that is let through; it is a [*Conn].
func (g *Gate) Accept() (net.Conn, error) {
	for {
		c, err := g.Listener.Accept()
		if err != nil {
			return nil, err
		}
		place := Place(c.RemoteAddr())
		if !g.enter(place) {
			c.Close()
			continue
		}
		conn := &Conn{Conn: c, gate: g, place: place}
		if err := c.SetDeadline(time.Now().Add(g.limits.Handshake)); err != nil {
			conn.Close()
			continue
		}
		return conn, nil
	}
}

func (g *Gate) enter(p netip.Prefix) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.total >= g.limits.Waiting || g.waiting[p] >= g.limits.PerPlace {
		return false
	}
	g.total++
	g.waiting[p]++
	return true
}

func (g *Gate) leave(p netip.Prefix) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.total--
	if g.waiting[p]--; g.waiting[p] == 0 {
		delete(g.waiting, p)
	}
}

// Waiting is how many connections nobody has logged in on.
func (g *Gate) Waiting() int {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.total
}

// Place is where a connection comes from, as far as it can be told apart: an IPv4
// address, or the /64 network of an IPv6 address, which is one subscriber's (RFC
// 6177).
func Place(a net.Addr) netip.Prefix {
	ap, err := netip.ParseAddrPort(a.String())
	if err != nil {
		return netip.Prefix{} // not the internet; all one place
	}
	ip := ap.Addr().Unmap().WithZone("")
	bits := 32
	if ip.Is6() {
		bits = 64
	}
	p, err := ip.Prefix(bits)
	if err != nil {
		return netip.Prefix{}
	}
	return p
}

// Conn is a connection that came through a gate. Its deadlines are the gate's: the
// SSH library sets one at every read and write, which would undo them.
type Conn struct {
	net.Conn
	gate  *Gate
	place netip.Prefix
	once  sync.Once
}

// Agreed gives the connection the time for logging in: keys are agreed on.
func (c *Conn) Agreed() error { return c.Conn.SetDeadline(time.Now().Add(c.gate.limits.Login)) }

// In tells that somebody is in: the connection no longer counts, and has no
// deadline any more.
func (c *Conn) In() error {
	c.once.Do(func() { c.gate.leave(c.place) })
	return c.Conn.SetDeadline(time.Time{})
}

// SetDeadline does nothing.
func (c *Conn) SetDeadline(time.Time) error { return nil }

// SetReadDeadline does nothing.
func (c *Conn) SetReadDeadline(time.Time) error { return nil }

// SetWriteDeadline does nothing.
func (c *Conn) SetWriteDeadline(time.Time) error { return nil }

// Close ends the connection.
func (c *Conn) Close() error {
	c.once.Do(func() { c.gate.leave(c.place) })
	return c.Conn.Close()
}
