package genetics_test

import (
	"fmt"
	"io"
	"syscall"
	"testing"
	"time"

	"roebook/genetics"
	"roebook/io/pedcsv"
	"roebook/pedigree"
)

func cpu() time.Duration {
	var u syscall.Rusage
	_ = syscall.Getrusage(0, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func leastCPU(runs int, f func()) time.Duration {
	b := time.Duration(1 << 60)
	for range runs {
		s := cpu()
		f()
		b = min(b, cpu()-s)
	}
	return b
}

func TestHatch(t *testing.T) {
	table := hatchery()
	text := csvOf(table)
	var back *pedigree.Table
	var m *genetics.TableModel
	for range 2 {
		fmt.Println("bare", leastCPU(5, func() { bareCSV(text) }), best(5, func() { bareCSV(text) }))
		fmt.Println("read", leastCPU(7, func() { back, _ = pedcsv.ParseTable(text, "h.csv") }), best(7, func() { back, _ = pedcsv.ParseTable(text, "h.csv") }))
		fmt.Println("inbreed", leastCPU(7, func() { m = compileTable(t, back, genetics.TableOptions{}) }), best(7, func() { m = compileTable(t, back, genetics.TableOptions{}) }))
		fmt.Println("write", leastCPU(7, func() { _ = pedcsv.WriteInbreeding(io.Discard, back, m.Inbreeding()) }), best(7, func() { _ = pedcsv.WriteInbreeding(io.Discard, back, m.Inbreeding()) }))
	}
}
