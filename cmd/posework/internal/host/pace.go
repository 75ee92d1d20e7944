package host

import "time"

// pace is how often sessions draw.
type pace struct{}

func (p *pace) apart() time.Duration { return time.Second / 30 }
