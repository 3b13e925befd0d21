package certificate

import (
	"bytes"
	"testing"
)

// Whatever stands in a file, reading it ends with facts that can be written down
// again, or with an error.
func FuzzRead(f *testing.F) {
	for _, kind := range []string{"html", "pdf", "json"} {
		file := must(Write(kind, sample(), nil, A4))
		f.Add(file)
		f.Add(must(withSignature(kind, file, []byte("-----BEGIN SSH SIGNATURE-----\nAAAA\n-----END SSH SIGNATURE-----\n"))))
		f.Add(file[:len(file)/2])
	}
	f.Add([]byte(`{"facts":{"format":"roebook provenance 1","on":"2026","fish":[{}]},"fingerprint":""}`))
	f.Add([]byte("%PDF-1.3\n/Type /EmbeddedFile stream\nx%%EOF\n"))
	f.Fuzz(func(t *testing.T, file []byte) {
		s, err := Read(file)
		if err != nil {
			return
		}
		if len(s.Facts.Fish) == 0 || s.Facts.Format != Format {
			t.Fatalf("no facts, and no error: %+v", s.Facts)
		}
		if s.Signature == nil {
			return
		}
		again, err := Read(must(withSignature(s.Kind, s.Body, s.Signature)))
		if err != nil || !bytes.Equal(again.Body, s.Body) || !bytes.Equal(again.Signature, s.Signature) {
			t.Fatalf("%v: signed again it is another file", err)
		}
	})
}
