package certificate

import (
	"bytes"
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
	if len(f.Fish) == 0 || len(f.Fish) > MostFish || f.Each < 0 || f.Each > MostFish {
		return nil, fmt.Errorf("a sheet is of 1 to %d fish", MostFish)
	}
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

// SamePage reports whether a sheet that was read is the very file that is made of
// these facts, on either paper: whether the page that people see says what the
// facts inside the file say. A JSON document has no page beside its facts.
func SamePage(s *Sheet, f *Facts, drawing *chart.Drawing) bool {
	file, err := Write(s.Kind, f, drawing, A4)
	if s.Kind != "pdf" {
		return err == nil && bytes.Equal(file, s.Body)
	}
	if err == nil && samePDF(file, s.Body) {
		return true
	}
	file, err = Write(s.Kind, f, drawing, Letter)
	return err == nil && samePDF(file, s.Body)
}
