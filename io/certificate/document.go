package certificate

import (
	"bytes"
	"encoding/json"

	"roebook/io/chart"
)

// Document is a sheet as JSON. Signature is an SSH signature (armoured, as
// ssh-keygen writes it) of the document without it.
type Document struct {
	Facts       *Facts `json:"facts"`
	Fingerprint string `json:"fingerprint"`
	Signature   string `json:"signature,omitempty"`
}

func (d Document) bytes() []byte {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(d); err != nil {
		panic(err) // as of Canonical
	}
	return out.Bytes()
}

// DrawingDigest is the digest that facts hold of a drawing.
func DrawingDigest(d *chart.Drawing) string { return digest(d.SVG()) }
