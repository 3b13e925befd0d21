package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"io/fs"
	"sort"
)

// packer writes the parts of a workbook in the order of their names and
// without times, so that the same sheets are the same bytes.
type packer struct {
	to    io.Writer
	parts map[string]*bytes.Buffer
}

func newPacker(to io.Writer) *packer {
	return &packer{to: to, parts: map[string]*bytes.Buffer{}}
}

// Create returns a writer for the part of that name.
func (p *packer) Create(name string) (io.Writer, error) {
	part := &bytes.Buffer{}
	p.parts[name] = part
	return part, nil
}

// AddFS is never called when a new workbook is saved.
func (p *packer) AddFS(fs.FS) error { return nil }

// Close writes everything.
func (p *packer) Close() error {
	names := make([]string, 0, len(p.parts))
	for name := range p.parts {
		names = append(names, name)
	}
	sort.Strings(names)
	archive := zip.NewWriter(p.to)
	for _, name := range names {
		part, err := archive.Create(name)
		if err != nil {
			return err
		}
		if _, err := p.parts[name].WriteTo(part); err != nil {
			return err
		}
	}
	return archive.Close()
}
