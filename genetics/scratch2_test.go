package genetics_test

import (
	"fmt"
	"testing"

	"roebook/genetics"
	"roebook/io/pedcsv"
)

func TestReadOnly(t *testing.T) {
	text := csvOf(hatchery())
	for range 3 {
		fmt.Println("read", leastCPU(8, func() { pedcsv.ParseTable(text, "h.csv") }), best(8, func() { pedcsv.ParseTable(text, "h.csv") }))
	}
}

func TestInbreedOnly(t *testing.T) {
	table := hatchery()
	for range 3 {
		fmt.Println("inbreed", leastCPU(8, func() { compileTable(t, table, genetics.TableOptions{}) }), best(8, func() { compileTable(t, table, genetics.TableOptions{}) }))
	}
}
