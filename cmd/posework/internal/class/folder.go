package class

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"

	"posework/engine/diag"
	"posework/engine/practice"
	"posework/engine/source"
	"posework/grader/records"
)

// mostDeep is how many folders may lie within each other below a learner's.
const mostDeep = 8

// mostFiles bounds what is listed of one folder.
const mostFiles = 200_000

// Program is a file below the folder of a class, or what stands in place of one.
type Program struct {
	Learner string // whose it is; "" for a stray file that is no program
	File    string // path below the folder, with slashes
	Log     string // path of the practice log beside it; "" for none
	Trouble string // why it can't be read; "" where it may be tried
}

// Folder is the folder of a class. Close it after use.
type Folder struct {
	Programs []Program // by learner, then by path
	Hidden   int       // files and folders whose names begin with a dot: passed over
	root     *os.Root
	logs     []Program
}

// Open lists the programs below a folder. Each file in it is one learner's and
// named after them, each folder in it is one learner's with all that is in it.
// Whether two names are one learner's, names says.
func Open(dir string, names *Names) (*Folder, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("open the folder: %w", err)
	}
	f := &Folder{root: root}
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open the folder: %w", err), root.Close())
	}
	for _, e := range entries {
		f.add(e, e.Name(), names.Of(stem(e)), names, 0)
		if len(f.Programs) > mostFiles {
			return nil, errors.Join(fmt.Errorf("%s holds more than %d files; grade its folders one by one", dir, mostFiles), root.Close())
		}
	}
	f.pairLogs()
	slices.SortStableFunc(f.Programs, func(a, b Program) int {
		return cmp.Or(strings.Compare(records.Fold(a.Learner), records.Fold(b.Learner)), strings.Compare(a.Learner, b.Learner), strings.Compare(a.File, b.File))
	})
	return f, nil
}

// stem is what an entry of the class's folder is named after.
func stem(e fs.DirEntry) string {
	name := e.Name()
	if e.IsDir() {
		return name
	}
	if of, log := practice.CutLogFile(name); log {
		return of
	}
	return strings.TrimSuffix(name, path.Ext(name))
}

// Close ends the use of the folder.
func (f *Folder) Close() error { return f.root.Close() }

// add adds an entry, or what is in it where it is a folder.
func (f *Folder) add(e fs.DirEntry, file, learner string, names *Names, deep int) {
	if strings.HasPrefix(e.Name(), ".") || e.Name() == "__MACOSX" {
		f.Hidden++
		return
	}
	if _, err := records.Name(learner); err != nil {
		f.trouble(learner, file, "no learner can be called that: "+err.Error())
		return
	}
	_, log := practice.CutLogFile(file)
	switch {
	case e.IsDir() && deep == mostDeep:
		f.trouble(learner, file, fmt.Sprintf("folders lie more than %d deep here; put the program further up", mostDeep))
	case e.IsDir():
		f.addAll(file, learner, names, deep+1)
	case e.Type()&fs.ModeSymlink != 0:
		f.trouble(learner, file, "a link, and links aren't followed; put the file itself here")
	case !e.Type().IsRegular():
		f.trouble(learner, file, "no file that can be read: a device, a pipe or the like")
	case !isProgram(file) && deep == 0 && !names.Known(learner):
		f.trouble("", file, "no program by its name; give it one that ends in .yaml")
	case !isProgram(file):
		f.trouble(learner, file, "no program by its name; give it one that ends in .yaml")
	case log:
		f.logs = append(f.logs, Program{Learner: learner, File: file})
	default:
		f.Programs = append(f.Programs, Program{Learner: learner, File: file})
	}
}

// pairLogs puts each practice log to the program that it lies beside.
func (f *Folder) pairLogs() {
	at := map[string]int{}
	for i, p := range f.Programs {
		if p.Trouble == "" {
			at[practice.LogFile(p.File)] = i
		}
	}
	for _, l := range f.logs {
		if i, ok := at[l.File]; ok {
			f.Programs[i].Log = l.File
		} else {
			f.trouble(l.Learner, l.File, "a practice log, but its program does not lie beside it")
		}
	}
	f.logs = nil
}

func (f *Folder) addAll(dir, learner string, names *Names, deep int) {
	entries, err := fs.ReadDir(f.root.FS(), dir)
	if err != nil {
		f.trouble(learner, dir, "the folder can't be read: "+diag.Reason(err).Error())
	}
	before := len(f.Programs)
	for _, e := range entries {
		if f.add(e, path.Join(dir, e.Name()), learner, names, deep); len(f.Programs) > mostFiles {
			return
		}
	}
	if deep == 1 && err == nil && len(f.Programs) == before {
		f.trouble(learner, dir, "the folder holds no program")
	}
}

func (f *Folder) trouble(learner, file, why string) {
	f.Programs = append(f.Programs, Program{Learner: learner, File: file, Trouble: why})
}

// isProgram tells by its name whether a file is to be graded.
func isProgram(file string) bool {
	ext := strings.ToLower(path.Ext(file))
	return ext == ".yaml" || ext == ".yml"
}

// Read returns the text of a program, or why there is none. Of a file that is too
// large it returns as much as shows that.
func (f *Folder) Read(p Program) (text []byte, trouble string) {
	if p.Trouble != "" {
		return nil, p.Trouble
	}
	data, err := f.read(p.File)
	if err != nil {
		return nil, "the file can't be read: " + diag.Reason(err).Error()
	}
	return data, ""
}

// ReadLog returns the practice log of a program, nil where there is none, or what
// is wrong with it.
func (f *Folder) ReadLog(p Program) (log *practice.Log, trouble string) {
	if p.Log == "" {
		return nil, ""
	}
	data, err := f.read(p.Log)
	if err != nil {
		return nil, "its practice log can't be read: " + diag.Reason(err).Error()
	}
	log, l := practice.ReadLog(path.Base(p.Log), data)
	if len(l) > 0 {
		return nil, "its practice log has a mistake: " + l[0].String()
	}
	return log, ""
}

func (f *Folder) read(name string) ([]byte, error) {
	// What was listed may have been exchanged since; opening a pipe would wait.
	info, err := f.root.Lstat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("it is no file any more")
	}
	file, err := f.root.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, source.MaxBytes+1))
}
