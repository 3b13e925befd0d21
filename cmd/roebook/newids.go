package main

import (
	"errors"
	"strings"
	"unicode"

	"roebook/io/records"
	"roebook/pedigree"
)

// hiddenRecord returns an error of the book in which a record, or what may be
// one, could not be read; nil where all could.
func hiddenRecord(draft *records.Draft) *pedigree.Problem {
	for i, p := range draft.Problems {
		if p.Severity != pedigree.Error {
			continue
		}
		hides := p.RecordsLost
		for _, id := range p.Records {
			hides = hides || draft.Book.StockByID(id) == nil && draft.Book.SpawnByID(id) == nil
		}
		if hides {
			return &draft.Problems[i]
		}
	}
	return nil
}

// newIDs refuses new records while one is hidden, whose id may be the same, and
// ids that a command line or a record could not name.
func newIDs(edits []records.Edit, hidden *pedigree.Problem) error {
	for _, e := range edits {
		id := e.Rename
		if e.New {
			id = e.ID
		}
		if id == "" {
			continue
		}
		if err := fitID(id); err != nil {
			return err
		}
		if hidden != nil {
			return errors.New(id + " may be there already; nothing was written")
		}
	}
	return nil
}

// fitID refuses an id that would have to be quoted in a record, or that means
// something else on a command line: TF-D1=2 is two shares of TF-D1.
func fitID(id string) error {
	if id == "" {
		return usageError("the new id is empty")
	}
	bad := strings.IndexFunc(id, func(c rune) bool {
		return strings.ContainsRune("=,:;#\"'`{}[]&*!|<>%@\\", c) || unicode.IsSpace(c) || !unicode.IsGraphic(c)
	})
	switch {
	case bad >= 0:
		return usageError("%q is no good as an id: take letters, digits, - _ . + and /", id)
	case strings.ContainsRune("-.?~+/", rune(id[0])):
		return usageError("%q is no good as an id: begin with a letter or a digit", id)
	}
	return nil
}
