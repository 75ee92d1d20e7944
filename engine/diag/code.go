package diag

// Code is one kind of diagnostic, as posework explain shows it. Each package
// that reports keeps its own in one table.
type Code struct {
	ID      string // stable, such as "F003"
	Title   string // a few words
	Meaning string // what it means and why it matters, a sentence or more
	Bad     string // a short example that raises it
	Good    string // the same, mended
}
