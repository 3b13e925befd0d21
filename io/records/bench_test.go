package records

import (
	"fmt"
	"strings"
	"testing"
)

// bigFile writes one file of n records: lots, fish and spawns in equal parts.
func bigFile(n int) []byte {
	var stock, spawns strings.Builder
	for i := range n / 3 {
		fmt.Fprintf(&stock, "  AS-F%d:\n    spawn: AS-S%d\n    males: 4\n    females: 3\n    tank: R%d\n", i, i, i%60)
		fmt.Fprintf(&stock, "  AS-P%d: {picked: AS-F%d, date: 2022-05-01, sex: male}   # the best of them\n", i, i)
		fmt.Fprintf(&spawns, "  AS-S%d: {date: 2022-01-09, group: AS-F%d, born: 23, deformed: 0, kept: 18}\n", i, max(0, i-1))
	}
	return []byte("line: amber-spring\nspecies: Xenotoca variata\nstock:\n" + stock.String() + "spawns:\n" + spawns.String())
}

func BenchmarkParse(b *testing.B) {
	for _, n := range []int{5_000, 40_000} {
		files := []File{{BookFile, []byte("book: big\n")}, {"lines/amber.yaml", bigFile(n)}}
		b.Run(fmt.Sprintf("records=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(files[1].Text)))
			for b.Loop() {
				book, problems := Parse(files)
				if len(problems) > 0 || len(book.Stock)+len(book.Spawns) != n/3*3 {
					b.Fatal(len(book.Stock), len(book.Spawns), problems)
				}
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "records/s")
		})
	}
}
