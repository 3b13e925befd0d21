package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// More pairs than can be ranked are refused in words: common practice, no source.
func TestTooManyPairs(t *testing.T) {
	var table strings.Builder
	table.WriteString("id,sire,dam,sex\n")
	for i := range 2001 {
		fmt.Fprintf(&table, "m%d,,,male\nf%d,,,female\n", i, i)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "many.csv"), []byte(table.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	r := runIn(dir, 100, "pairs", "--pedigree", "many.csv")
	want := ran{status: saysNo, err: "roebook: pedigree has 4,004,001 possible pairs, and at most 4,000,000 are ranked: " +
		"write down which of its fish died or left, or mark those not to be bred as retired\n"}
	if diff := cmp.Diff(want, r, cmp.AllowUnexported(ran{})); diff != "" {
		t.Error(diff)
	}
	if r := runIn(dir, 100, "pairs", "--pedigree", "many.csv", "--json"); r.status != saysNo || !strings.Contains(r.out, `"refused": "pedigree has 4,004,001`) {
		t.Errorf("status %d\n%s", r.status, r.out)
	}
}
