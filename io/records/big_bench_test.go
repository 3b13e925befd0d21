package records

import (
	"bytes"
	"encoding/hex"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/goccy/go-yaml/parser"

	"roebook/genetics"
	"roebook/pedigree"
)

// best returns the shortest of several runs; other work on the machine only
// makes runs longer.
func best(runs int, do func()) time.Duration {
	shortest := time.Hour
	for range runs {
		runtime.GC()
		start := time.Now()
		do()
		shortest = min(shortest, time.Since(start))
	}
	return shortest
}

// BenchmarkBookWithLots reads 20,000 records in 400 files, half of them lots,
// from disk: without a snapshot, making one, and with one. The yardstick is the
// time in which the YAML parser alone, on the same processors, takes the same
// bytes. In the second book every file holds a note over several lines, which
// the plain reader leaves to the parser. What is done with the book once it is
// read is measured beside.
func BenchmarkBookWithLots(b *testing.B) {
	for _, kind := range []struct{ name, note string }{{"plain", ""}, {"notes", "    note: >-\n      told by the keeper\n      before: the winter\n"}} {
		b.Run(kind.name, func(b *testing.B) {
			files := bigBook(bigLines, bigYears, 1)
			for i := range files[1:] {
				text := &files[i+1].Text
				*text = bytes.Replace(*text, []byte("\n    males:"), []byte("\n"+kind.note+"    males:"), 1)
			}
			benchmarkBook(b, files)
		})
	}
}

func benchmarkBook(b *testing.B, files []File) {
	dir, cache := writeBook(b, files), b.TempDir()
	const runs = 5
	for b.Loop() {
		alone := best(runs, func() {
			parallel(len(files), func(i int) {
				if _, err := parser.ParseBytes(files[i].Text, 0); err != nil {
					b.Error(err)
				}
			})
		})
		again := func() {
			if _, problems, err := ReadCached(dir, Options{CacheDir: cache}); err != nil || len(problems) > 0 {
				b.Fatal(problems, err)
			}
		}
		read := best(runs, func() { mustRead(b, dir) })
		first := best(runs, func() {
			if err := os.RemoveAll(cache); err != nil {
				b.Fatal(err)
			}
			again()
		})
		warm := best(3*runs, again)
		book, _ := mustRead(b, dir)
		check := best(runs, func() { pedigree.Check(book, 20261101) })
		compile := best(runs, func() {
			if _, err := genetics.Compile(book); err != nil {
				b.Fatal(err)
			}
		})
		b.ReportMetric(milliseconds(alone), "parser-ms")
		b.ReportMetric(milliseconds(first), "first-ms")
		b.ReportMetric(milliseconds(warm), "warm-ms")
		b.ReportMetric(milliseconds(check), "check-ms")
		b.ReportMetric(milliseconds(compile), "compile-ms")
		b.ReportMetric(float64(read)/float64(alone), "uncached/parser")
		b.ReportMetric(float64(first)/float64(alone), "first/parser")
		b.ReportMetric(float64(read)/float64(warm), "uncached/warm")
		b.ReportMetric(milliseconds(openEach(b, cache)), "400-files-ms")
		b.ReportMetric(milliseconds(best(runs, func() { loadBundle(theBundle(b, cache), programDigest()) })), "one-file-ms")
	}
}

// openEach is the time for reading the entries of a snapshot when each has a
// file of its own: what the bundle spares.
func openEach(b *testing.B, cache string) time.Duration {
	dir := b.TempDir()
	packed := loadBundle(theBundle(b, cache), programDigest())
	var names []string
	for key := range packed.entries {
		name := filepath.Join(dir, hex.EncodeToString(key[:]))
		if err := os.WriteFile(name, packed.payload(key), 0o600); err != nil {
			b.Fatal(err)
		}
		names = append(names, name)
	}
	return best(5, func() {
		for _, name := range names {
			if _, err := readWhole(name, maxBundle); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func milliseconds(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
