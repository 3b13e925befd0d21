package chart

import (
	"os"
	"testing"
	"time"

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

func TestPeekDescent(t *testing.T) {
	book, _, err := records.Read("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	m, err := genetics.Compile(book)
	if err != nil {
		t.Fatal(err)
	}
	s := m.On(pedigree.Date(20261124))
	for _, id := range []string{"TF-D3a", "GD-F1"} {
		os.WriteFile("/tmp/out/founders-"+id+".svg", FoundersOf(s, id).SVG(), 0o644)
	}
	for _, id := range []string{"CW-J1", "GD-F1", "TF-E3", "TF-C3"} {
		os.WriteFile("/tmp/out/inbred-"+id+".svg", Inbreeding(s, id).SVG(), 0o644)
	}
	for _, l := range book.Lines {
		os.WriteFile("/tmp/out/founders-"+l.Name+".svg", FoundersOfLine(s, l.Name).SVG(), 0o644)
		os.WriteFile("/tmp/out/history-"+l.Name+".svg", History(s, l.Name, nil).SVG(), 0o644)
		var ids []string
		for _, r := range s.Living(l.Name).Records {
			ids = append(ids, r.Stock.ID)
		}
		os.WriteFile("/tmp/out/kinship-"+l.Name+".svg", Kinship(s, "Kinship in "+l.Name, ids).SVG(), 0o644)
		os.WriteFile("/tmp/out/desc-"+l.Name+".svg", Descent(s, l.Name).SVG(), 0o644)
	}
}

func TestPeekBig(t *testing.T) {
	s := stateOf(t, bigBook(3000))
	t0 := time.Now()
	d := Descent(s, "long")
	t.Log(len(s.Model().Book().Stock), len(s.Model().Book().Spawns), "draw", time.Since(t0), d.Width, d.Height)
	g := newLineage(s, "long")
	t.Log("nodes", len(g.graph.column), "columns", len(g.graph.columns))
	g.graph.begin()
	at := make([]float64, len(g.graph.column))
	for _, column := range g.graph.columns {
		g.graph.number(column, at)
	}
	t.Log("crossings at first", g.graph.crossings(at))
	t0 = time.Now()
	t.Log("after", g.graph.untangle(), time.Since(t0))
	t0 = time.Now()
	g.graph.place()
	t.Log("place", time.Since(t0))
	t0 = time.Now()
	svg := d.SVG()
	t.Log("svg", time.Since(t0), len(svg))
	os.WriteFile("/tmp/out/big.svg", svg, 0o644)
}

func TestPeekPrint(t *testing.T) {
	s := demo(t)
	for name, d := range map[string]*Drawing{"anc": Ancestors(s, "TF-E1", 4), "hist": History(s, "candlewick", nil), "kin": Kinship(s, "Kinship", []string{"TF-D1", "TF-D2", "CW-J1"})} {
		t0 := time.Now()
		f, _ := os.Create("/tmp/out/p-" + name + ".png")
		if err := d.PNG(f); err != nil {
			t.Fatal(err)
		}
		f.Close()
		t.Log("png", time.Since(t0))
		t0 = time.Now()
		f, _ = os.Create("/tmp/out/p-" + name + ".pdf")
		if err := d.PDF(f); err != nil {
			t.Fatal(err)
		}
		f.Close()
		t.Log("pdf", time.Since(t0))
	}
}
