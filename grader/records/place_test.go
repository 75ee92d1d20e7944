package records

import (
	"context"
	"testing"
)

func TestDefaultPath(t *testing.T) {
	tests := []struct {
		goos string
		env  map[string]string
		want string
	}{
		{"linux", map[string]string{"HOME": "/home/ines"}, "/home/ines/.local/share/posework/records.db"},
		{"linux", map[string]string{"HOME": "/home/ines", "XDG_DATA_HOME": "/data"}, "/data/posework/records.db"},
		// XDG Base Directory Specification 0.8: a relative path is invalid and to be ignored.
		{"linux", map[string]string{"HOME": "/home/ines", "XDG_DATA_HOME": "data"}, "/home/ines/.local/share/posework/records.db"},
		{"linux", nil, ""},
		{"darwin", map[string]string{"HOME": "/Users/ines"}, "/Users/ines/Library/Application Support/posework/records.db"},
		{"windows", map[string]string{"LOCALAPPDATA": `C:\Users\ines\AppData\Local`}, "C:/Users/ines/AppData/Local/posework/records.db"},
		{"windows", map[string]string{"USERPROFILE": `C:\Users\ines`}, "C:/Users/ines/posework/records.db"},
		{"windows", nil, ""},
	}
	for _, tt := range tests {
		if got := defaultPath(tt.goos, func(k string) string { return tt.env[k] }); got != tt.want {
			t.Errorf("defaultPath(%s, %v) = %q, want %q", tt.goos, tt.env, got, tt.want)
		}
	}
	if got := DefaultPath(func(string) string { return "" }); got != "" {
		t.Errorf("DefaultPath without a home = %q, want none", got)
	}
	_, err := Open(context.Background(), "")
	wantErr(t, err, "no place is named; set HOME or XDG_DATA_HOME")
}
