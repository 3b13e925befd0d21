package chart

import (
	"os"
	"testing"

	"roebook/genetics"
	"roebook/io/records"
	"roebook/pedigree"
)

func TestPeek(t *testing.T) {
	book, _, err := records.Read("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	s := m.On(pedigree.Date(20261124))
	for _, id := range []string{"TF-E1", "CW-J1", "GD-F1", "TF-D4", "TF-S18", "TF-W1", "TF-E2"} {
		os.WriteFile("/tmp/out/anc-"+id+".svg", Ancestors(s, id, 4).SVG(), 0o644)
	}
	os.WriteFile("/tmp/out/anc-CW-J1-all.svg", Ancestors(s, "CW-J1", 0).SVG(), 0o644)
}
