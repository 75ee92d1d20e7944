package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/creack/pty"
)

// build makes the real program, for tests that need it as a process.
func build(tb testing.TB) string {
	tb.Helper()
	bin := filepath.Join(tb.TempDir(), "posework")
	if out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
		tb.Fatalf("go build: %v\n%s", err, out)
	}
	return bin
}

// BenchmarkFirstScreen is the time from starting the program, with records that
// exist, to the last byte of the course on a terminal of 200x50: the median and
// the greatest of all starts.
func BenchmarkFirstScreen(b *testing.B) {
	bin, home := build(b), b.TempDir()
	var took []time.Duration
	for b.Loop() {
		cmd := exec.Command(bin)
		cmd.Env = append(os.Environ(), "HOME="+home, "TERM=xterm-256color", "LANG=C.UTF-8", "XDG_DATA_HOME=", "USER=jo")
		start := time.Now()
		tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 50, Cols: 200})
		if err != nil {
			b.Fatal(err)
		}
		var seen []byte
		for buf := make([]byte, 1<<16); !bytes.Contains(seen, []byte("keys")); {
			n, err := tty.Read(buf)
			if err != nil {
				b.Fatalf("%v after %q", err, seen)
			}
			seen = append(seen, buf[:n]...)
			// The library asks every terminal for its colours and where its cursor
			// is, and goes on when the second is answered.
			if bytes.HasSuffix(seen, []byte("\x1b[6n")) {
				tty.WriteString("\x1b[1;1R")
			}
		}
		took = append(took, time.Since(start))
		tty.Write([]byte{3}) // ctrl+c
		for buf := make([]byte, 1<<16); ; {
			if _, err := tty.Read(buf); err != nil {
				break
			}
		}
		if err := cmd.Wait(); err != nil {
			b.Fatal(err)
		}
		tty.Close()
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms/p50")
	b.ReportMetric(float64(took[len(took)-1].Microseconds())/1000, "ms/max")
	b.ReportMetric(0, "ns/op")
}
