package records

import "testing"

// places returns the databases that the contract is tested on.
func places(testing.TB) []place { return []place{sqlitePlace()} }
