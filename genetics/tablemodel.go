package genetics

import (
	"context"
	"fmt"

	"roebook/pedigree"
)

// TableModel is a plain table with the inbreeding of every fish worked out. All
// rows that it takes and gives are rows of the table. It may be used by several
// goroutines at once.
type TableModel struct {
	table *pedigree.Table
	g     *tableGraph
	f     []float64 // in the order of the graph
	at    []int32   // place of each row in that order; nil: the same
	plan  Plan
}

// CompileTable works out the inbreeding of every fish of a table, exactly. It
// fails where a fish is its own ancestor, and with the context's error where
// that ends first. The cost is that of the method chosen, see [Plan].
func CompileTable(ctx context.Context, t *pedigree.Table, o TableOptions) (*TableModel, error) {
	g, loop := newTableGraph(t)
	if loop >= 0 {
		return nil, fmt.Errorf("%s is its own ancestor", t.IDs[loop])
	}
	p := g.plan(o)
	f, err := g.inbreeding(ctx, p, o.Progress)
	if err != nil {
		return nil, err
	}
	m := &TableModel{table: t, g: g, f: f, plan: p.Plan}
	if g.row != nil {
		m.at = make([]int32, g.size())
		for i, row := range g.row {
			m.at[row] = int32(i)
		}
	}
	return m, nil
}

// Table returns the table that was compiled.
func (m *TableModel) Table() *pedigree.Table { return m.table }

// Plan returns how the inbreeding was worked out.
func (m *TableModel) Plan() Plan { return m.plan }

// Inbreeding returns the inbreeding coefficient of every row, between 0 and 1.
// It must not be changed.
func (m *TableModel) Inbreeding() []float64 {
	if m.g.row == nil {
		return m.f
	}
	f := make([]float64, len(m.f))
	for i, row := range m.g.row {
		f[row] = m.f[i]
	}
	return f
}
