package records

import (
	"path"
	"path/filepath"
	"runtime"
	"strings"
)

// DefaultPath returns where a user's records lie unless told otherwise, from
// the environment env: $XDG_DATA_HOME/posework/records.db (XDG Base Directory
// Specification), else ~/.local/share/posework/records.db; on macOS below
// ~/Library/Application Support, on Windows below %LocalAppData%. It returns ""
// when the environment names no home.
func DefaultPath(env func(string) string) string {
	return filepath.FromSlash(defaultPath(runtime.GOOS, env))
}

func defaultPath(goos string, env func(string) string) string {
	const file = "posework/records.db"
	// The specification has relative paths ignored.
	if dir := env("XDG_DATA_HOME"); path.IsAbs(dir) {
		return path.Join(dir, file)
	}
	if goos == "windows" {
		dir := env("LOCALAPPDATA")
		if dir == "" {
			dir = env("USERPROFILE")
		}
		if dir == "" {
			return ""
		}
		return path.Join(strings.ReplaceAll(dir, `\`, "/"), file)
	}
	home := env("HOME")
	switch {
	case home == "":
		return ""
	case goos == "darwin":
		return path.Join(home, "Library/Application Support", file)
	}
	return path.Join(home, ".local/share", file)
}

// File returns the path of the SQLite file that dsn names, and whether it names
// one.
func File(dsn string) (path string, ok bool) {
	if strings.HasPrefix(dsn, "postgres://") || strings.HasPrefix(dsn, "postgresql://") {
		return "", false
	}
	return strings.TrimPrefix(dsn, "sqlite:"), true
}
