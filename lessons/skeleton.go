package lessons

import (
	"embed"
	"io/fs"
	"strconv"
	"strings"
	"text/template"
)

//go:embed skeleton
var skeleton embed.FS

// Head is what a new lesson is told apart by.
type Head struct {
	ID, Title, Module string
	Minutes           int
}

// Skeleton returns the files of a new lesson, by their paths with slashes in the
// lesson's folder. The lesson is complete: [Check] finds nothing wrong with it as
// long as the head is sound, and comments tell an author what is what.
func Skeleton(h Head) (map[string][]byte, error) {
	const root, tmpl = "skeleton/", ".tmpl"
	files := map[string][]byte{}
	err := fs.WalkDir(skeleton, "skeleton", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(skeleton, name)
		if err != nil {
			return err
		}
		to := strings.TrimPrefix(name, root)
		if text, ok := strings.CutSuffix(to, tmpl); ok {
			to = text
			if data, err = fill(string(data), h); err != nil {
				return err
			}
		}
		files[to] = data
		return nil
	})
	return files, err
}

// fill puts a head into the front matter. Texts are quoted, so that a colon in a
// title stays part of it.
func fill(text string, h Head) ([]byte, error) {
	t, err := template.New("lesson").Parse(text)
	if err != nil {
		return nil, err
	}
	h.Title, h.Module = strconv.Quote(h.Title), strconv.Quote(h.Module)
	var b strings.Builder
	if err := t.Execute(&b, h); err != nil {
		return nil, err
	}
	return []byte(b.String()), nil
}
