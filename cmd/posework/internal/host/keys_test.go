package host

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

// read reads all keys out of what is typed, as a clock that stands still sees it;
// it returns how long they had to wait.
func readKeys(t *testing.T, in io.Reader) (keys []string, waited time.Duration) {
	t.Helper()
	now := time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)
	k := newKeys(in, func(time.Time) {}, func() time.Time { return now }, func(d time.Duration) { waited += d; now = now.Add(d) })
	var b [256]byte
	for {
		n, err := k.Read(b[:])
		if err == io.EOF {
			return keys, waited
		}
		if err != nil {
			t.Fatal(err)
		}
		if n == len(b) {
			t.Errorf("a read of %d bytes: the library would wait for more", n)
		}
		keys = append(keys, string(b[:n]))
	}
}

func TestKeys(t *testing.T) {
	tests := []struct {
		name, in string
		want     []string
	}{
		{"letters", "aé漢", []string{"a", "é", "漢"}},
		{"arrows", "\x1b[A\x1bOB\x1b[1;2C", []string{"\x1b[A", "\x1bOB", "\x1b[1;2C"}},
		{"alt", "\x1bx\x1bé", []string{"\x1bx", "\x1bé"}},
		{"control", "\x03\r\t\x00", []string{"\x03", "\r", "\t", "\x00"}},
		{"not UTF-8", "\xffa", []string{"\xff", "a"}},
		{"a paste", "\x1b[200~ab\x1b[201~c", []string{"\x1b[200~ab\x1b[201~", "c"}},
		{"an empty paste", "\x1b[200~\x1b[201~c", []string{"c"}},
		{"the end of no paste", "\x1b[201~c", []string{"c"}},
		{"a paste that is too long", "\x1b[200~" + strings.Repeat("x", longestPaste+1) + "\x1b[201~c", []string{"c"}},
		{"a sequence that is too long", "\x1b[" + strings.Repeat("1", 40) + "Ac", []string{"c"}},
		{"a sequence that is none", "\x1b[1\x01c", []string{"\x1b[1", "\x01", "c"}},
	}
	for _, tt := range tests {
		for way, in := range map[string]io.Reader{"at once": strings.NewReader(tt.in)} {
			if got, _ := readKeys(t, in); !slices.Equal(got, tt.want) {
				t.Errorf("%s, %s: %q, want %q", tt.name, way, got, tt.want)
			}
		}
	}
	// Byte by byte the same, but for the key esc, of which nobody knows whether more
	// comes.
	got, _ := readKeys(t, iotest.OneByteReader(strings.NewReader("a漢\r")))
	if want := []string{"a", "漢", "\r"}; !slices.Equal(got, want) {
		t.Errorf("byte by byte: %q, want %q", got, want)
	}
	long := "\x1b[200~" + strings.Repeat("x", 1000) + "\x1b[201~"
	got, _ = readKeys(t, strings.NewReader(long))
	if all := strings.Join(got, ""); all != long {
		t.Errorf("a long paste becomes %q", all)
	}
}

// Faster than hands keys do not pass.
func TestKeysWait(t *testing.T) {
	got, waited := readKeys(t, strings.NewReader(strings.Repeat("x", keysAtOnce+10*keysPerSecond)))
	if len(got) != keysAtOnce+10*keysPerSecond {
		t.Errorf("%d keys, some are lost", len(got))
	}
	if waited < 9*time.Second || waited > 11*time.Second {
		t.Errorf("they wait for %v, want 10 s", waited)
	}
}

// FuzzKeys: whatever a client sends, what is kept of it is bounded, and nothing is
// made up.
func FuzzKeys(f *testing.F) {
	for _, s := range []string{"a", "\x1b[A", "\x1b[200~x\x1b[201~", "\x1b\x1b[", "\xff\xf0\x9f", "\x1bO\x1b", strings.Repeat("\x1b[", 30)} {
		f.Add([]byte(s), uint8(1))
		f.Add([]byte(s), uint8(7))
	}
	f.Fuzz(func(t *testing.T, in []byte, piece uint8) {
		now := time.Unix(0, 0)
		k := newKeys(&pieces{in, int(piece%32) + 1}, func(time.Time) {}, func() time.Time { return now }, func(d time.Duration) { now = now.Add(d) })
		out := 0
		var b [256]byte
		for {
			n, err := k.Read(b[:])
			out += n
			if err != nil {
				break
			}
			if len(k.buf) > 1024 || len(k.paste) > longestPaste {
				t.Fatalf("%d and %d bytes are kept", len(k.buf), len(k.paste))
			}
		}
		if out > len(in) {
			t.Fatalf("%d bytes become %d", len(in), out)
		}
	})
}

// pieces gives its text a few bytes at a time.
type pieces struct {
	text []byte
	most int
}

func (p *pieces) Read(b []byte) (int, error) {
	if len(p.text) == 0 {
		return 0, io.EOF
	}
	n := copy(b[:min(len(b), p.most)], p.text)
	p.text = p.text[n:]
	return n, nil
}

func TestClamp(t *testing.T) {
	for _, c := range [][4]uint32{{0, 0, 1, 1}, {80, 24, 80, 24}, {1 << 31, 4294967295, mostColumns, mostRows}} {
		if got := clamp(c[0], c[1]); got.Width != int(c[2]) || got.Height != int(c[3]) {
			t.Errorf("clamp(%d, %d) = %v", c[0], c[1], got)
		}
	}
}

func TestPace(t *testing.T) {
	var p pace
	now := time.Unix(0, 0)
	run := func(late time.Duration, n int) time.Duration {
		for range n {
			now = now.Add(10 * time.Millisecond)
			p.delayed(late, now)
		}
		return p.apart()
	}
	if got := run(0, 100); got != leastApart {
		t.Errorf("at rest frames are %v apart, want %v", got, leastApart)
	}
	if got := run(40*time.Millisecond, 1000); got != mostApart {
		t.Errorf("under load frames are %v apart, want %v", got, mostApart)
	}
	if got := run(10*time.Millisecond, 1000); got != mostApart {
		t.Errorf("with some load left they are %v apart, want %v", got, mostApart)
	}
	if got := run(0, 1000); got != leastApart {
		t.Errorf("at rest again they are %v apart, want %v", got, leastApart)
	}
	// Many at once are slower at once, and few again soon.
	windows := make([]int, 2000)
	for i := range windows {
		p.drew(&windows[i], time.Millisecond, now)
	}
	if got := p.apart(); got != crowdApart {
		t.Errorf("of so many frames are %v apart, want %v", got, crowdApart)
	}
	for range 3 {
		now = now.Add(paceSpan)
		p.drew(&windows[0], time.Millisecond, now)
	}
	if got := p.apart(); got != leastApart {
		t.Errorf("of one alone frames are %v apart, want %v", got, leastApart)
	}
}

func TestEnviron(t *testing.T) {
	tests := []struct {
		env     environ
		utf8    bool
		profile string
	}{
		{environ{"TERM=xterm-256color"}, true, "ANSI256"},
		{environ{"TERM=xterm", "LANG=C"}, false, "ANSI"},
		{environ{"TERM=xterm-256color", "NO_COLOR=1", "LC_ALL=en_GB.UTF-8", "LANG=C"}, true, "Ascii"},
		{environ{"TERM=xterm-256color", "COLORTERM=truecolor", "LC_CTYPE=C.utf8"}, true, "TrueColor"},
		{environ{"TERM=\x1b[2J"}, true, "Ascii"},
	}
	for _, tt := range tests {
		if got := tt.env.renderer().ColorProfile().Name(); got != tt.profile || tt.env.utf8() != tt.utf8 {
			t.Errorf("%q: %s, UTF-8 %v; want %s, %v", tt.env, got, tt.env.utf8(), tt.profile, tt.utf8)
		}
	}
}

func TestOutputCuts(t *testing.T) {
	r, w := io.Pipe()
	defer r.Close()
	cut := make(chan struct{})
	o := &output{to: w, stall: 50 * time.Millisecond, cut: func() { close(cut); w.Close() }}
	if _, err := o.Write([]byte("x")); err == nil {
		t.Error("nobody took what was written")
	}
	<-cut
	var b bytes.Buffer
	o = &output{to: &b, stall: time.Hour, cut: func() { t.Error("a client that takes all is cut") }}
	if n, err := o.Write([]byte("x")); n != 1 || err != nil {
		t.Error(n, err)
	}
}
