package room

// cursor goes through rows that several hosts add to. Ids are given when a row is
// written, but rows are seen when they are committed, so that one with a smaller
// id may turn up a little later: the last few ids are read again and again.
type cursor struct {
	floor  int64 // rows up to this one are of no interest
	newest int64
	seen   map[int64]bool // those among the last few
}

// overlap is how many ids back a row may turn up late.
const overlap = 32

// after is the id after which to read.
func (c *cursor) after() int64 { return max(c.floor, c.newest-overlap) }

// take reports whether a row is met for the first time.
func (c *cursor) take(id int64) bool {
	if id <= c.after() || c.seen[id] {
		return false
	}
	if c.seen == nil {
		c.seen = map[int64]bool{}
	}
	c.seen[id] = true
	if id > c.newest {
		c.newest = id
		for old := range c.seen {
			if old <= c.after() {
				delete(c.seen, old)
			}
		}
	}
	return true
}
