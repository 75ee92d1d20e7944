package host

import (
	"bytes"
	"io"
	"time"
	"unicode/utf8"
)

// keys is what a learner types, as it may reach the screens: no faster than hands
// are, nothing longer than a hand types or a person pastes. What comes too fast
// waits, and with it the client; what is too long is left out.
//
// The library that reads keys keeps all of a paste until its end, however long,
// and looks through all of it again with each read.
type keys struct {
	in    io.Reader
	typed func(now time.Time)
	now   func() time.Time
	sleep func(time.Duration)

	buf   []byte // read and not looked at yet
	ready [][]byte
	paste []byte  // in a paste: what came of it; nil: none
	over  bool    // the paste is too long
	left  float64 // keys that may pass at once
	at    time.Time
}

const (
	keysPerSecond = 60 // a held key repeats some 30 times a second
	keysAtOnce    = 200
	longestPaste  = 4096
	longestKey    = 24 // bytes of the sequence that a key sends
)

var (
	pasteBegins = []byte("\x1b[200~")
	pasteEnds   = []byte("\x1b[201~")
)

func newKeys(in io.Reader, typed func(time.Time), now func() time.Time, sleep func(time.Duration)) *keys {
	return &keys{in: in, typed: typed, now: now, sleep: sleep, left: keysAtOnce, at: now()}
}

// Read returns one key or paste, or a part of a long one.
func (k *keys) Read(p []byte) (int, error) {
	for len(k.ready) == 0 {
		var b [512]byte
		n, err := k.in.Read(b[:])
		if n > 0 {
			k.buf = append(k.buf, b[:n]...)
			k.split()
		}
		if err != nil && len(k.ready) == 0 {
			return 0, err
		}
	}
	next := k.ready[0]
	n := copy(p[:min(len(p), 200)], next)
	if n < len(next) {
		k.ready[0] = next[n:]
		return n, nil
	}
	k.ready = k.ready[1:]
	k.wait()
	k.typed(k.now())
	return n, nil
}

// wait lets no more than so many keys through in a second.
func (k *keys) wait() {
	now := k.now()
	k.left = min(keysAtOnce, k.left+now.Sub(k.at).Seconds()*keysPerSecond)
	k.at = now
	if k.left--; k.left < 0 {
		k.sleep(time.Duration(-k.left / keysPerSecond * float64(time.Second)))
	}
}

// split parts what was read into keys. A key that is not whole yet stays.
func (k *keys) split() {
	for len(k.buf) > 0 {
		if k.paste != nil {
			if !k.pasted() {
				return
			}
			continue
		}
		n := keyLen(k.buf)
		switch {
		case n == 0:
			return
		case bytes.HasPrefix(k.buf[:n], pasteBegins):
			k.paste, k.over = []byte{}, false
		case n <= longestKey && !bytes.Equal(k.buf[:n], pasteEnds):
			k.ready = append(k.ready, bytes.Clone(k.buf[:n]))
		}
		k.buf = k.buf[n:]
	}
}

// pasted takes what was read to a paste, and reports whether it has ended.
func (k *keys) pasted() bool {
	i := bytes.Index(k.buf, pasteEnds)
	if i < 0 {
		// The end may come in two parts.
		keep := min(len(k.buf), len(pasteEnds)-1)
		k.addPaste(k.buf[:len(k.buf)-keep])
		k.buf = k.buf[len(k.buf)-keep:]
		return false
	}
	k.addPaste(k.buf[:i])
	k.buf = k.buf[i+len(pasteEnds):]
	if !k.over && len(k.paste) > 0 {
		whole := append(bytes.Clone(pasteBegins), k.paste...)
		k.ready = append(k.ready, append(whole, pasteEnds...))
	}
	k.paste = nil
	return true
}

func (k *keys) addPaste(b []byte) {
	if k.over = k.over || len(k.paste)+len(b) > longestPaste; k.over {
		k.paste = k.paste[:0]
		return
	}
	k.paste = append(k.paste, b...)
}

// keyLen is the length of the key that b begins with, 0 when it is not whole.
func keyLen(b []byte) int {
	switch {
	case b[0] != 0x1b:
		if !utf8.FullRune(b) {
			return 0
		}
		_, n := utf8.DecodeRune(b)
		return n
	case len(b) == 1:
		return 1 // the key esc; the rest of a longer key comes in the same piece
	case b[1] == '[' || b[1] == 'O':
		for i := 2; i < len(b); i++ {
			if b[i] >= 0x40 && b[i] <= 0x7e {
				return i + 1
			}
			if b[i] < 0x20 || b[i] > 0x7e || b[1] == 'O' {
				return i // not a sequence after all
			}
		}
		if len(b) > longestKey {
			return len(b)
		}
		return 0
	case b[1] == 0x1b:
		return 1
	}
	if n := keyLen(b[1:]); n > 0 {
		return 1 + n // with alt
	}
	return 0
}
