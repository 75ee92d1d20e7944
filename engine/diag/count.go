package diag

import "fmt"

// Count writes a number of things: "1 lesson", "22 lessons".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
