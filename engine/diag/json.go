package diag

import "encoding/json"

// wire is a diagnostic as other programs read it.
type wire struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Code   string `json:"code"`
	Text   string `json:"text"`
	Fix    string `json:"fix,omitempty"`
}

// MarshalJSON writes the diagnostic as
// {"file", "line", "column", "code", "text", "fix"}; an empty fix is left out.
func (d Diagnostic) MarshalJSON() ([]byte, error) {
	return json.Marshal(wire{d.Pos.Filename, d.Pos.Line, d.Pos.Column, d.Code, d.Text, d.Fix})
}

// UnmarshalJSON reads what [Diagnostic.MarshalJSON] writes.
func (d *Diagnostic) UnmarshalJSON(data []byte) error {
	var w wire
	if err := json.Unmarshal(data, &w); err != nil {
		return err
	}
	*d = Diagnostic{
		Pos:  Pos{Filename: w.File, Line: w.Line, Column: w.Column},
		Code: w.Code, Text: w.Text, Fix: w.Fix,
	}
	return nil
}
