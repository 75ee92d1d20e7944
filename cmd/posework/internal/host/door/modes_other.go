//go:build !unix

package door

// keepsModes tells whether files have modes that keep others out.
const keepsModes = false
