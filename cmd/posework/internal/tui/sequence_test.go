package tui

import (
	"reflect"

	tea "github.com/charmbracelet/bubbletea"
)

// sequence unpacks what tea.Sequence sends: a list of commands of a type that
// the library keeps to itself.
func sequence(msg tea.Msg) ([]tea.Cmd, bool) {
	v := reflect.ValueOf(msg)
	if v.Kind() != reflect.Slice || v.Type().Elem() != reflect.TypeFor[tea.Cmd]() {
		return nil, false
	}
	cmds := make([]tea.Cmd, v.Len())
	for i := range cmds {
		cmds[i] = v.Index(i).Interface().(tea.Cmd)
	}
	return cmds, true
}
