package records

import (
	"io"
	"strings"
	"testing"
	"time"

	"roebook/pedigree"
)

func TestRender(t *testing.T) {
	long := strings.Repeat("x", 300)
	for _, c := range []struct {
		name, source string
		line, column int
		width        int
		want         string
	}{
		{"the mark", "a: 1\nbc: two\n", 2, 5, 3, "    bc: two\n        ^^^\n"},
		{"CRLF and byte order mark", "\ufeffa: 1\r\nb: 2\r\n", 1, 4, 1, "    a: 1\n       ^\n"},
		{"tabs", "\ta:\t1\n", 1, 5, 1, "        a:  1\n            ^\n"},
		{"colours and bells", "a: \x1b[31m\a\u202e x\n", 1, 10, 1, "    a: \ufffd[31m\ufffd\ufffd x\n             ^\n"},
		{"wide and combining", "é: 金魚 e\u0301x\n", 1, 9, 1, "    é: 金魚 e\u0301x\n             ^\n"},
		{"beyond the end", "ab\n", 1, 9, 4, "    ab\n      ^\n"},
		{"no such line", "ab\n", 9, 1, 1, ""},
		{"begin of a long line", "ab: " + long, 1, 1, 2, "    ab: " + long[:86] + "...\n    ^^\n"},
		{"end of a long line", long + " yz", 1, 302, 2, "    ..." + long[:87] + " yz\n" + strings.Repeat(" ", 4+3+88) + "^^\n"},
		{"middle of a long line", long + " yz " + long, 1, 302, 2, "    ..." + long[:29] + " yz " + long[:57] + "...\n" + strings.Repeat(" ", 4+3+30) + "^^\n"},
		{"no text", "", 1, 1, 1, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := pedigree.Problem{Position: pedigree.Position{File: "a.yaml", Line: c.line, Column: c.column, Width: c.width}, Message: "m"}
			var out strings.Builder
			if err := Render(&out, p, []byte(c.source)); err != nil {
				t.Fatal(err)
			}
			_, got, _ := strings.Cut(out.String(), "\n")
			if got != c.want {
				t.Errorf("shown\n%swant\n%s", got, c.want)
			}
			for line := range strings.Lines(got) {
				if len([]rune(line)) > 101 {
					t.Errorf("a line of %d columns", len([]rune(line)))
				}
			}
		})
	}
}

// TestLines: one index serves every problem of a file as a search for each does.
func TestLines(t *testing.T) {
	for _, source := range []string{"", "a: 1", "a: 1\n", "\ufeffa: 1\r\n\r\nb: 2\r\n", "\n\na: 1\n\n", "a: 1\r"} {
		lines := IndexLines([]byte(source))
		for n := -1; n < 6; n++ {
			want, exists := "", false
			if text := strings.TrimPrefix(source, "\ufeff"); n >= 1 && text != "" {
				if split := strings.Split(text, "\n"); n < len(split) || n == len(split) && split[n-1] != "" {
					want, exists = strings.TrimSuffix(split[n-1], "\r"), true
				}
			}
			if got, ok := lines.line(n); got != want || ok != exists {
				t.Errorf("%q: line %d is %q, %v; want %q, %v", source, n, got, ok, want, exists)
			}
		}
	}
}

// TestManyProblems: what each problem costs does not grow with the file.
func TestManyProblems(t *testing.T) {
	const n = 100_000
	lines := IndexLines([]byte(strings.Repeat("  A1: {wild: {}, mail: 2}\n", n)))
	start := time.Now()
	for i := range n {
		p := pedigree.Problem{Position: pedigree.Position{File: "a.yaml", Line: i + 1, Column: 18, Width: 4}, Message: "m"}
		if err := lines.Render(io.Discard, p); err != nil {
			t.Fatal(err)
		}
	}
	if took := time.Since(start); took > 20*time.Second {
		t.Errorf("%d problems took %v", n, took)
	}
}
