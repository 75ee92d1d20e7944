//go:build unix

package paint

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

// resizes tells of every new size of a terminal until ctx is done.
func resizes(ctx context.Context, out *os.File) <-chan Size {
	changed := make(chan os.Signal, 1)
	signal.Notify(changed, syscall.SIGWINCH)
	sizes := make(chan Size)
	go func() {
		defer signal.Stop(changed)
		for {
			select {
			case <-ctx.Done():
				return
			case <-changed:
			}
			size, err := sizeOf(out)
			if err != nil {
				continue // the terminal has gone; its reader learns that
			}
			select {
			case <-ctx.Done():
				return
			case sizes <- size:
			}
		}
	}()
	return sizes
}
