package host

import (
	"io"
	"time"
)

// output writes to a client, and cuts one that takes nothing for a while.
type output struct {
	to    io.Writer
	stall time.Duration
	cut   func()
}

// Write waits for the client to take p, as long as the stall.
func (o *output) Write(p []byte) (int, error) {
	t := time.AfterFunc(o.stall, o.cut)
	defer t.Stop()
	return o.to.Write(p)
}
