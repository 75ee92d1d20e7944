//go:build !unix

package paint

import (
	"context"
	"os"
	"time"
)

// lookAgain is how often the size is read where no signal tells of a new one.
const lookAgain = time.Second

// resizes tells of every new size of a terminal until ctx is done.
func resizes(ctx context.Context, out *os.File) <-chan Size {
	sizes := make(chan Size)
	go func() {
		last, _ := sizeOf(out)
		tick := time.NewTicker(lookAgain)
		defer tick.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
			}
			size, err := sizeOf(out)
			if err != nil || size == last {
				continue
			}
			last = size
			select {
			case <-ctx.Done():
				return
			case sizes <- size:
			}
		}
	}()
	return sizes
}
