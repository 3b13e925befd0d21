package certificate

import (
	"fmt"

	"roebook/io/chart"
)

// Paper is the size of a page, in points.
type Paper struct{ Width, Height float64 }

// The papers.
var (
	A4     = Paper{595.28, 841.89}
	Letter = Paper{612, 792}
)

// Write makes a sheet as a file of the kind html, pdf or json; drawing is that of
// the lineage, nil where there is none. Equal facts give equal bytes.
func Write(kind string, f *Facts, drawing *chart.Drawing, paper Paper) ([]byte, error) {
	switch kind {
	case "json":
		return Document{Facts: f, Fingerprint: f.Fingerprint()}.bytes(), nil
	case "html":
		return writeHTML(f, drawing)
	case "pdf":
		return writePDF(f, drawing, paper)
	}
	return nil, fmt.Errorf("there is no sheet of the kind %q", kind)
}
