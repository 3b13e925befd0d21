package certificate

import (
	"bytes"
	"compress/zlib"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io"
	"regexp"
	"strings"

	"roebook/pedigree"
)

// Sheet is a file of [Write] as it was read back.
type Sheet struct {
	Kind        string // html, pdf or json
	Facts       Facts
	Fingerprint string // as a JSON document states it
	Signature   []byte // armoured; nil where there is none
	Body        []byte // what the signature is of: the file without it
}

// What Read says of files.
var (
	ErrCutOff = errors.New("the file is cut off: its end is missing")
	ErrForm   = errors.New("this is no sheet that provenance writes, or it was saved again by another program: ask for the file as it was written")
)

// MostBytes is the size from which on a file is not read: no sheet is so large.
const MostBytes = 32 << 20

// Read reads a sheet back. It fails with [ErrCutOff] on a file without its end,
// with [ErrForm] on what is none, and says what is wrong with facts that cannot
// be read.
func Read(file []byte) (*Sheet, error) {
	s, err := read(file)
	if err != nil || s.Signature == nil {
		return s, err
	}
	switch {
	case armoured.Match(s.Signature):
	case bytes.HasPrefix(s.Signature, []byte("-----BEGIN")) && !bytes.Contains(s.Signature, []byte("-----END")):
		return nil, ErrCutOff
	default:
		return nil, ErrForm
	}
	// Nothing may stand beside the signature that it does not cover.
	if again, err := withSignature(s.Kind, s.Body, s.Signature); s.Kind != "json" && (err != nil || !bytes.Equal(again, unixLines(s.Kind, file))) {
		return nil, ErrForm
	}
	return s, nil
}

// armoured is a signature as ssh-keygen writes it.
var armoured = regexp.MustCompile(`^-----BEGIN SSH SIGNATURE-----\n([A-Za-z0-9+/=]+\n)+-----END SSH SIGNATURE-----\n$`)

// unixLines undoes what mail programs do to text.
func unixLines(kind string, file []byte) []byte {
	if kind == "html" {
		return bytes.ReplaceAll(file, []byte("\r\n"), []byte("\n"))
	}
	return file
}

func read(file []byte) (*Sheet, error) {
	switch head := bytes.TrimLeft(file[:min(len(file), 512)], " \r\n\t\ufeff"); {
	case bytes.HasPrefix(head, []byte("%PDF-")):
		return readPDF(file)
	case bytes.HasPrefix(bytes.ToLower(head), []byte("<!doctype html")):
		return readHTML(unixLines("html", file))
	case bytes.HasPrefix(head, []byte("{")):
		return readJSON(file)
	}
	return nil, ErrForm
}

const (
	htmlEnd       = "</html>\n"
	htmlSignature = "<!-- signature\n"
	htmlClose     = "-->\n"
	factsBegin    = `<template id="facts">`
	factsEnd      = "</template>"
	pdfEnd        = "%%EOF\n"
	pdfSignature  = "% signature\n"
)

func readHTML(file []byte) (*Sheet, error) {
	s := &Sheet{Kind: "html", Body: file}
	if bytes.Count(file, []byte(factsBegin)) != 1 {
		if !bytes.Contains(file, []byte("</html>")) {
			return nil, ErrCutOff
		}
		return nil, ErrForm
	}
	if at := bytes.LastIndex(file, []byte(htmlEnd+htmlSignature)); at >= 0 {
		s.Body = file[:at+len(htmlEnd)]
		rest, whole := bytes.CutSuffix(file[at+len(htmlEnd)+len(htmlSignature):], []byte(htmlClose))
		if !whole {
			return nil, ErrCutOff
		}
		s.Signature = rest
	} else if !bytes.HasSuffix(file, []byte(htmlEnd)) {
		if bytes.Contains(file, []byte(htmlEnd)) {
			return nil, ErrForm
		}
		return nil, ErrCutOff
	}
	_, text, _ := bytes.Cut(s.Body, []byte(factsBegin))
	text, _, found := bytes.Cut(text, []byte(factsEnd))
	if !found {
		return nil, ErrForm
	}
	return s, s.decode([]byte(html.UnescapeString(string(text))), &s.Facts)
}

func readPDF(file []byte) (*Sheet, error) {
	s := &Sheet{Kind: "pdf", Body: file}
	if !bytes.HasSuffix(file, []byte(pdfEnd)) {
		return nil, ErrCutOff
	}
	if at := bytes.Index(file, []byte(pdfEnd+pdfSignature)); at >= 0 {
		s.Body = file[:at+len(pdfEnd)]
		rest, _, whole := bytes.Cut(file[at+len(pdfEnd)+len(pdfSignature):], []byte("startxref\n"))
		if !whole {
			return nil, ErrCutOff
		}
		s.Signature = bytes.ReplaceAll(bytes.TrimPrefix(rest, []byte("% ")), []byte("\n% "), []byte("\n"))
	}
	text, err := attachment(s.Body)
	if err != nil {
		return nil, err
	}
	return s, s.decode(text, &s.Facts)
}

// attachment finds the one attached file of a PDF.
func attachment(file []byte) ([]byte, error) {
	const begin = "/Type /EmbeddedFile "
	if bytes.Count(file, []byte(begin)) != 1 {
		return nil, ErrForm
	}
	_, rest, _ := bytes.Cut(file, []byte(begin))
	_, rest, found := bytes.Cut(rest, []byte("stream\n"))
	if !found {
		return nil, ErrForm
	}
	packed, err := zlib.NewReader(bytes.NewReader(rest))
	if err != nil {
		return nil, ErrForm
	}
	text, err := io.ReadAll(io.LimitReader(packed, MostBytes))
	if err != nil {
		return nil, fmt.Errorf("the facts inside the file are damaged: %w", err)
	}
	return text, nil
}

func readJSON(file []byte) (*Sheet, error) {
	s := &Sheet{Kind: "json"}
	var d Document
	if err := s.decode(file, &d); err != nil {
		return nil, err
	}
	if d.Facts == nil {
		return nil, ErrForm
	}
	s.Facts, s.Fingerprint = *d.Facts, d.Fingerprint
	if d.Signature != "" {
		s.Signature = []byte(d.Signature)
	}
	if !sameJSON(file, d.bytes()) { // a key that stands twice, or in another order
		return nil, ErrForm
	}
	d.Signature = ""
	s.Body = d.bytes()
	return s, nil
}

// decode reads facts; keys that are none of theirs are refused.
func (s *Sheet) decode(text []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
			return ErrCutOff
		}
		return fmt.Errorf("the facts inside the file cannot be read: %s", strings.TrimPrefix(err.Error(), "json: "))
	}
	if rest, _ := io.ReadAll(decoder.Buffered()); len(bytes.TrimSpace(rest)) > 0 {
		return ErrForm
	}
	facts := &s.Facts
	if d, ok := into.(*Document); ok {
		if d.Facts == nil {
			return nil
		}
		facts = d.Facts
	} else if !bytes.Equal(text, facts.Canonical()) {
		return errors.New("the facts inside the file are not as they were written")
	}
	_, err := pedigree.ParseDate(facts.On)
	switch {
	case err != nil:
		return fmt.Errorf("the facts inside the file are of no day: %w", err)
	case facts.Format != Format:
		return fmt.Errorf("the sheet is of the format %q, and this program reads %q", facts.Format, Format)
	case len(facts.Fish) == 0:
		return errors.New("the facts inside the file are of no fish")
	}
	return nil
}

func sameJSON(a, b []byte) bool {
	var x, y bytes.Buffer
	return json.Compact(&x, a) == nil && json.Compact(&y, b) == nil && bytes.Equal(x.Bytes(), y.Bytes())
}

// withSignature puts an armoured signature into a file.
func withSignature(kind string, body, signature []byte) ([]byte, error) {
	out := bytes.Clone(body)
	signature = append(bytes.TrimSpace(signature), '\n')
	switch kind {
	case "html":
		out = append(append(append(out, htmlSignature...), signature...), htmlClose...)
	case "pdf":
		// Readers look for the cross-reference from the end of the file, so that
		// where it is stands once more behind the signature.
		at := bytes.LastIndex(body, []byte("startxref\n"))
		if at < 0 {
			return nil, ErrForm
		}
		out = append(out, pdfSignature...)
		for line := range strings.Lines(string(signature)) {
			out = append(append(out, "% "...), line...)
		}
		out = append(out, body[at:]...)
	case "json":
		var d Document
		if err := json.Unmarshal(body, &d); err != nil {
			return nil, err
		}
		d.Signature = string(signature)
		out = d.bytes()
	}
	return out, nil
}
