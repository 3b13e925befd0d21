package main

import (
	"fmt"
	"strings"

	"roebook/io/certificate"
)

// write puts a verdict on the page in words.
func (v *verdict) write(p *page) {
	head := map[string]string{isTrue: "%s is true to the book.", isFalse: "%s is NOT what the book says.", cannotTell: "%s: whether the book said so cannot be told."}[v.Answer]
	p.say(head, v.File)
	if v.Why != "" {
		p.say("%s.", capital(v.Why))
	}
	p.blank()
	p.field("sheet of", "%s, as of %s", some(v.Of, 8), v.On)
	commit := "none"
	if v.Commit != "" {
		commit = v.Commit
	}
	if v.Uncommitted {
		commit += ", and changes that were not committed"
	}
	p.field("commit", "%s", commit)
	p.field("fingerprint", "%s", certificate.Grouped(v.Fingerprint))
	p.field("signature", "%s", sealWords(v.Signature))
	p.field("facts", "%s", v.Facts)
	p.field("page", "%s", v.Page)
	v.list(p, "What the sheet says and the book did not:", "sheet", "book", v.Differences)
	if v.SinceOn == "" {
		return
	}
	if len(v.Gone) > 0 {
		p.blank()
		p.say("On %s the book says nothing of %s that a sheet could be made of.", v.SinceOn, some(v.Gone, 8))
		return
	}
	if len(v.Since) == 0 {
		p.blank()
		p.say("Nothing of it has changed in the book by %s.", v.SinceOn)
		return
	}
	v.list(p, "What the book says otherwise on "+v.SinceOn+":", "sheet", "book now", v.Since)
}

func sealWords(s certificate.Seal) string {
	switch s.State {
	case certificate.Good:
		return fmt.Sprintf("good: by %s, key %s", s.Signer, s.Key)
	case certificate.Unknown:
		return fmt.Sprintf("it holds, by the key %s, which no allowed-signers file names: --signers FILE", s.Key)
	case certificate.Stripped:
		return "missing: the sheet says that it is signed by " + s.Key
	case certificate.Unsigned:
		return "none: unsigned"
	}
	return s.State + ": " + s.Why
}

// mostListed is how many differences are listed as text.
const mostListed = 40

func (v *verdict) list(p *page, head, left, right string, list []certificate.Difference) {
	if len(list) == 0 {
		return
	}
	p.blank()
	p.say("%s", head)
	var rows [][]string
	for i, d := range list {
		if i == mostListed {
			break
		}
		rows = append(rows, []string{fieldWords(d.Field), shortValue(d.Sheet), shortValue(d.Book)})
	}
	p.table([]column{{head: "what", wrap: true}, {head: left}, {head: right}}, rows)
	if more := len(list) - mostListed; more > 0 {
		p.say("  and %d more; --json has them all", more)
	}
}

// fieldWords puts the path of a fact in words: "fish.TF-E3.inbreeding".
func fieldWords(field string) string {
	field = strings.TrimPrefix(field, "fish.")
	if field == "lineage.drawing" {
		return "chart of ancestors"
	}
	return strings.ReplaceAll(strings.ReplaceAll(field, "_", " "), ".", " ")
}

func shortValue(value string) string {
	const most = 26
	value = strings.Trim(value, `"`)
	if value == "" {
		return "-"
	}
	if runes := []rune(value); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return value
}
