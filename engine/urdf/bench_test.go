package urdf

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// BenchmarkRead reads an arm, and files at the limits that cost the most.
func BenchmarkRead(b *testing.B) {
	oak, err := os.ReadFile("testdata/oak.urdf")
	if err != nil {
		b.Fatal(err)
	}
	build := func(part string, n int) []byte {
		var s strings.Builder
		s.WriteString("<robot name=\"oak\">")
		for i := 0; i < n && s.Len() < MaxBytes-300; i++ {
			fmt.Fprintf(&s, part, i)
		}
		s.WriteString("</robot>")
		return []byte(s.String())
	}
	for _, bm := range []struct {
		name string
		text []byte
	}{
		{"oak", oak},
		{"junk=links", build("<link name=\"l%d\"/>", MaxElements-1)},
		{"junk=chain", build("<link name=\"l%[1]d\"/><joint name=\"j%[1]d\" type=\"fixed\"><parent link=\"l%[1]d\"/><child link=\"x%[1]d\"/></joint>", 4900)},
		{"junk=attributes", []byte(strings.Replace(string(build(" a%d=\"\"", 1<<20)), ">", "", 1))},
		{"junk=text", []byte("<robot name=\"oak\">" + strings.Repeat("x &amp; ", MaxBytes/8-10) + "</robot>")},
	} {
		b.Run(bm.name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(bm.text)))
			for b.Loop() {
				Read("f", bm.text, Options{Tip: "flange"})
			}
		})
	}
}
