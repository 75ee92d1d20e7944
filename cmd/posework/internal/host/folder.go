package host

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"

	"posework/grader/records"
)

// folderOf is the name of a learner's folder: letters and digits of their name,
// for those who look after the machine, and a part of its hash, which tells people
// apart. Nothing that anybody types becomes a part of a path otherwise.
func folderOf(person string) string {
	fold := records.Fold(person)
	const most = 24
	var b strings.Builder
	for _, c := range fold {
		if b.Len() == most {
			break
		}
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			b.WriteRune(c)
		case c == ' ' && b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	sum := sha256.Sum256([]byte(fold))
	return strings.Trim(b.String()+"-", "-") + "-" + hex.EncodeToString(sum[:6])
}

// makeFolder makes a learner's folder below the host's and returns its path.
func makeFolder(below, person string) (string, error) {
	root, err := os.OpenRoot(below)
	if err != nil {
		return "", err
	}
	defer root.Close()
	name := strings.TrimLeft(folderOf(person), "-")
	if err := root.Mkdir(name, 0o700); err != nil && !os.IsExist(err) {
		return "", err
	}
	// A link that somebody put there would lead elsewhere.
	info, err := root.Lstat(name)
	if err != nil {
		return "", err
	}
	if !info.IsDir() {
		return "", &os.PathError{Op: "open", Path: name, Err: os.ErrInvalid}
	}
	return filepath.Join(below, name), nil
}
