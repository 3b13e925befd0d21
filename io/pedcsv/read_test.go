package pedcsv

import (
	"strings"
	"testing"
	"time"

	"roebook/genetics"
)

func TestProblemsPointAtTheirPlace(t *testing.T) {
	tests := []struct {
		name, text, rule, message string
		line, column              int
	}{
		{"empty", "", "table-header", "empty", 1, 1},
		{"unknown column", "id,sire,dam,colour\n", "table-header", `"colour"`, 1, 13},
		{"missing column", "id,sire\n", "table-header", `"dam" is missing`, 1, 1},
		{"column twice", "id,sire,dam,id\n", "table-header", "twice", 1, 13},
		{"no id", "id,sire,dam\n,,\n", "table-id", "no id", 2, 1},
		{"id not UTF-8", "id,sire,dam\nA,,\n\xff,,\n", "table-id", "not UTF-8", 3, 1},
		{"control character in an id", "id,sire,dam\n\x1b[2J,,\n", "table-id", "control character", 2, 1},
		{"double id", "id,sire,dam\nA,,\nB,,\nA,,\n", "duplicate-id", "A stands twice", 4, 1},
		{"no row for a parent", "id,sire,dam\nA,X,\n", "unknown-id", "X is named as the sire of A", 2, 3},
		{"sire here and dam there", "id,sire,dam\nA,,\nB,,\nC,A,B\nD,B,\n", "wrong-sex", "B is the sire here and is female", 5, 3},
		{"female sire", "id,sire,dam,sex\nA,,,female\nB,A,,\n", "wrong-sex", "A is the sire here and is female", 3, 3},
		{"bad sex", "id,sire,dam,sex\nA,,,maybe\n", "table-sex", `"maybe"`, 2, 5},
		{"bad date", "id,sire,dam,born\nA,,,2023-02-30\n", "table-date", "February 2023 has no day 30", 2, 5},
		{"short row", "id,sire,dam\nA,\n", "table-row", "2 values", 2, 1},
		{"open quote", "id,sire,dam\n\"A,,\n", "table-row", "quote", 2, 0},
		{"its own ancestor", "id,sire,dam\nA,C,\nB,A,\nC,B,\n", "loop", "A is its own ancestor: A > B > C > A", 2, 1},
		{"its own parent", "id,sire,dam\nA,A,\n", "loop", "A is its own ancestor: A > A", 2, 1},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, problems := Read(strings.NewReader(test.text), "t.csv")
			for _, p := range problems {
				if p.Rule == test.rule && strings.Contains(p.Message, test.message) && p.Line == test.line && (p.Column == test.column || test.column == 0) {
					return
				}
			}
			t.Errorf("no %s at %d:%d; got %v", test.rule, test.line, test.column, problems)
		})
	}
}

func TestLoopIsToldQuicklyAndAllProblemsAreTold(t *testing.T) {
	_, problems := Read(strings.NewReader("id,sire,dam,sex\nA,X,,maybe\nA,,,\n,,,\n"), "t.csv")
	if len(problems) != 4 {
		t.Errorf("want 4 problems, got %v", problems)
	}
	many := "id,sire,dam\n" + strings.Repeat(",,\n", 5000)
	start := time.Now()
	_, problems = Read(strings.NewReader(many), "t.csv")
	if len(problems) != mostProblems+1 || time.Since(start) > time.Second {
		t.Errorf("%d problems in %v", len(problems), time.Since(start))
	}
}

// Brother × sister, kinship 3/8 (Lange, Mathematical and Statistical Methods
// for Genetic Analysis, ch. 5), in the shapes in which tables come.
func TestShapesOfATable(t *testing.T) {
	tests := map[string]string{
		"plain":             "id,sire,dam\n1,,\n2,,\n3,1,2\n4,1,2\n5,3,4\n6,3,4\n",
		"rows backwards":    "id,sire,dam\n6,3,4\n5,3,4\n4,1,2\n3,1,2\n2,0,0\n1,0,0\n",
		"CRLF and a mark":   "\ufeffid,sire,dam\r\n1,,\r\n2,,\r\n3,1,2\r\n4,1,2\r\n5,3,4\r\n6,3,4\r\n",
		"quotes":            "\"id\",\"sire\",\"dam\"\n\"1\",,\n2,\"\",\n3,\"1\",2\n4,1,2\n5,3,4\n6,3,4\n",
		"columns elsewhere": "dam,living,id,sire\n,no,1,\n,no,2,\n2,no,3,1\n2,no,4,1\n4,yes,5,3\n4,yes,6,3\n",
		"no newline at end": "id,sire,dam\n1,,\n2,,\n3,1,2\n4,1,2\n5,3,4\n6,3,4",
	}
	for name, text := range tests {
		t.Run(name, func(t *testing.T) {
			book, problems := Read(strings.NewReader(text), "t.csv")
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			model, err := genetics.Compile(book)
			if err != nil {
				t.Fatal(err)
			}
			k, ok := model.On(20240101).Kinship("5", "6")
			if !ok || k != 0.375 {
				t.Errorf("kinship of 5 and 6 is %v, want 3/8", k)
			}
		})
	}
}

func FuzzRead(f *testing.F) {
	f.Add("id,sire,dam\n1,,\n2,,\n3,1,2\n")
	f.Add("id,sire,dam,sex,born,living\na,b,a,m,2024-02,no\n\"b\",,,f,,\n")
	f.Fuzz(func(t *testing.T, text string) {
		book, problems := Read(strings.NewReader(text), "t.csv")
		for _, p := range problems {
			if p.Line < 1 || p.Column < 1 || p.Message == "" {
				t.Errorf("a problem without a place or words: %+v", p)
			}
		}
		if len(problems) == 0 {
			if _, err := genetics.Compile(book); err != nil {
				t.Errorf("a table without problems does not compile: %v", err)
			}
		}
	})
}
