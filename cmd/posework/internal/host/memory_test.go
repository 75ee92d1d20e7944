package host

import (
	"os"
	"runtime"
	"strconv"
	"strings"
)

// memory is what this process has taken: heap and stacks in use, after a
// collection, and what the system gave it.
type memoryUse struct{ used, rss float64 }

func memory() memoryUse {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	u := memoryUse{used: float64(m.HeapInuse + m.StackInuse)}
	text, err := os.ReadFile("/proc/self/statm")
	if fields := strings.Fields(string(text)); err == nil && len(fields) > 1 {
		pages, _ := strconv.Atoi(fields[1])
		u.rss = float64(pages * os.Getpagesize())
	}
	return u
}
