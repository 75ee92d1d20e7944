package roster

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"posework/grader/records"
)

var at = time.Date(2026, 3, 2, 5, 50, 0, 0, time.UTC)

func good(t testing.TB) []byte {
	t.Helper()
	b, err := os.ReadFile("testdata/good.csv")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestRead(t *testing.T) {
	key := regexp.MustCompile(`ssh-ed25519 \S+`).FindString(string(good(t)))
	want := []records.Person{
		{Name: "Ines Calloway", Crew: "day", Site: "harrow-mere", Role: "learner", Key: key, At: at},
		{Name: "Ashdown, Tom", Crew: "night", Site: "harrow-mere", Role: "instructor", At: at},
		{Name: "Zoë Marsh", Crew: "day", At: at},
	}
	forms := map[string]string{
		"as it is":      string(good(t)),
		"BOM":           "\ufeff" + string(good(t)),
		"CRLF":          strings.ReplaceAll(string(good(t)), "\n", "\r\n"),
		"no last break": strings.TrimSpace(string(good(t))),
		"semicolons": strings.NewReplacer(`"Ashdown, Tom"`, "Ashdown, Tom", ",day", ";day", ",night", ";night", ",harrow", ";harrow",
			",learner", ";learner", ",instructor,", ";instructor;", ",ssh", ";ssh", "name,crew,site,role,key", "Name;CREW; site;Role;key ", ",,,", ";;;").Replace(string(good(t))),
	}
	for name, text := range forms {
		got, list := Read("crew.csv", []byte(text), at)
		if list != nil {
			t.Errorf("%s: %v", name, list)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s (-want +got):\n%s", name, d)
		}
	}
	got, list := Read("crew.csv", []byte("crew\tname\nday\tInes\n"), at)
	if list != nil || len(got) != 1 || got[0].Name != "Ines" || got[0].Crew != "day" {
		t.Errorf("tabs: %v, %v", got, list)
	}
}

// What is taken can be recorded.
func TestReadFitsTheRecords(t *testing.T) {
	people, list := Read("crew.csv", good(t), at)
	if list != nil {
		t.Fatal(list)
	}
	s, err := records.Open(t.Context(), t.TempDir()+"/records.db")
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for range 2 { // the second time nothing changes
		var rows []records.Row
		for i := range people {
			rows = append(rows, &people[i])
		}
		if _, err := s.Add(t.Context(), rows...); err != nil {
			t.Fatal(err)
		}
	}
	about, err := s.About(t.Context(), "ZOË MARSH")
	if err != nil || len(about.Roster) != 1 {
		t.Errorf("About = %+v, %v, want one roster entry", about, err)
	}
}

func TestReadSaysWhatIsWrong(t *testing.T) {
	key := regexp.MustCompile(`ssh-ed25519 \S+`).FindString(string(good(t)))
	tests := []struct{ name, in, want string }{
		{"empty", "", "crew.csv:1:1: the roster is empty; begin with the line name,crew,site,role,key"},
		{"no people", "name,crew\n\n,\n", "crew.csv:1:1: the roster has no people below its column names; add one line a person"},
		{"unknown columns", "nane,shift\nInes,day\n", "crew.csv:1:1: the column \"nane\" is unknown; write name\ncrew.csv:1:6: the column \"shift\" is unknown; use only name, crew, site, role, key"},
		{"column twice", "name,crew,Name\n", "crew.csv:1:11: the column \"name\" stands twice; leave one out"},
		{"no name", "crew,site\nday,x\n", "crew.csv:1:1: there is no column name; begin with the line name,crew,site,role,key"},
		{"not UTF-8", "name\nZo\xebl\n", "crew.csv:2:3: the text is not valid UTF-8 here; save it as CSV UTF-8"},
		{"quotes inside", "name\nInes \"Sunny\" C\n", "crew.csv:2:6: the quotes are wrong; put the whole value in quotes, and write \" inside it as \"\""},
		{"quotes don't end", "name\n\"Ines\nTom\n", "crew.csv:3:5: the quotes that begin in line 2 don't end; put the whole value in quotes, and write \" inside it as \"\""},
		{"too many values", "name,crew\nCalloway, Ines,day\n", "crew.csv:2:16: the value \"day\" has no column; remove it, or put the value before it in quotes"},
		{"no name given", "name,crew\n,day\n", "crew.csv:2:1: name is empty"},
		{"escape", "crew,name\nday,a\x1b[2J\n", "crew.csv:2:5: name holds the character U+001B, which is not seen; remove it"},
		{"twice", "name\nInes\nTom\nINES\n", "crew.csv:4:1: INES stands in line 2 already; tell people of one name apart, as in Ines Calloway 2"},
		{"after letters of two bytes", "name,role\nZoë,bos\n", "crew.csv:2:5: the role \"bos\" is unknown; write learner or instructor"},
		{"near role", "name,role\nZoë,learnr\n", "crew.csv:2:5: the role \"learnr\" is unknown; write learner"},
		{"crew", "name,crew,site\nZoë,a\x00b," + strings.Repeat("x", 201) + "\n", "crew.csv:2:5: crew \"a\\x00b\" holds a character that is not seen\ncrew.csv:2:9: site has 201 bytes, but at most 200 are kept"},
		{"no key", "name,key\nZoë,ssh-ed25519 x\n", "crew.csv:2:5: the key \"ssh-ed25519 x\" is not an SSH public key; copy the one line of the person's .pub file"},
		{"key with options", "name,key\nZoë,\"command=\"\"x\"\" " + key + "\"\n", "crew.csv:2:5: the key has more than type, key and comment; copy the one line of the person's .pub file"},
		{"two keys", "name,key\nZoë,\"" + key + "\n" + key + "\"\n", "crew.csv:2:5: the key has more than type, key and comment; copy the one line of the person's .pub file"},
		{"one key for two", "name,key\nZoë," + key + " a\nTom," + key + " b\n", "crew.csv:3:5: the key stands in line 2 already; give each person a key of their own"},
		{"long value", "name\nZoë," + strings.Repeat("ö", 60) + "\n", "crew.csv:2:5: the value \"" + strings.Repeat("ö", 40) + "...\" has no column; remove it, or put the value before it in quotes"},
		{"too large", "name\n" + strings.Repeat("x", MaxBytes), fmt.Sprintf("crew.csv:1:1: the roster has %d bytes, but at most %d are read; split it", MaxBytes+5, MaxBytes)},
	}
	for _, tt := range tests {
		got, list := Read("crew.csv", []byte(tt.in), at)
		if got != nil || list.Error() != tt.want {
			t.Errorf("%s: %d people,\n%s\nwant\n%s", tt.name, len(got), list, tt.want)
		}
	}
}

func TestReadManyPeople(t *testing.T) {
	var b strings.Builder
	b.WriteString("name\n")
	for i := range MaxPeople {
		fmt.Fprintf(&b, "Learner %d\n", i)
	}
	got, list := Read("crew.csv", []byte(b.String()), at)
	if list != nil || len(got) != MaxPeople {
		t.Fatalf("%d people, %v", len(got), list)
	}
	b.WriteString("One More\n")
	_, list = Read("crew.csv", []byte(b.String()), at)
	if want := fmt.Sprintf("crew.csv:%d:1: the roster has more than %d people; split it", MaxPeople+2, MaxPeople); list.Error() != want {
		t.Errorf("%v, want %s", list, want)
	}
	// Not all that is wrong is listed without end.
	_, list = Read("crew.csv", []byte("name\n"+strings.Repeat("Ines\n", 50_000)), at)
	if len(list) != maxErrors {
		t.Errorf("%d errors, want %d", len(list), maxErrors)
	}
}

// Every code is explained, and every explained code is raised by its example.
func TestCodes(t *testing.T) {
	raised := map[string]bool{}
	for _, c := range Codes {
		if c.Title == "" || c.Meaning == "" || c.Bad == "" || c.Good == "" {
			t.Errorf("%s is not explained", c.ID)
		}
		raised[c.ID] = false
	}
	for _, in := range []string{"", "name\n\xff", "nane\n", "name\n\"", "name\n,x", "name\n\x1b", "name\na\na", "name,key\na,b", "name,role\na,b",
		"name\n" + strings.Repeat("x", MaxBytes), string(good(t)) + strings.Replace(strings.Split(string(good(t)), "\n")[1], "Ines", "Ine", 1)} {
		_, list := Read("x", []byte(in), at)
		if len(list) == 0 {
			t.Errorf("%.40q raises nothing", in)
		}
		for _, d := range list {
			if _, known := raised[d.Code]; !known {
				t.Errorf("code %s is not explained", d.Code)
			}
			raised[d.Code] = true
		}
	}
	for id, ok := range raised {
		if !ok {
			t.Errorf("no example raises %s", id)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(good(f))
	f.Add([]byte("name;crew\n\"a\nb\";c\n"))
	f.Add([]byte("\ufeffname\tkey\r\nZo\xc3\xab\tssh-ed25519 x\r\n"))
	f.Add([]byte("name\nInes \"S\" C"))
	f.Fuzz(func(t *testing.T, data []byte) {
		people, list := Read("f.csv", data, at)
		if (len(people) > 0) == (len(list) > 0) {
			t.Fatalf("%d people and %d errors", len(people), len(list))
		}
		lines := strings.Count(string(data), "\n") + 1
		for _, d := range list {
			if d.Pos.Line < 1 || d.Pos.Line > lines || d.Pos.Column < 1 || d.Pos.Column > len(data)+1 {
				t.Fatalf("%v lies outside the %d lines", d, lines)
			}
		}
		for _, p := range people {
			if clean, err := records.Name(p.Name); err != nil || clean != p.Name {
				t.Fatalf("name %q: %v", p.Name, err)
			}
		}
	})
}
