package main

import (
	"fmt"
	"slices"
	"strings"

	"roebook/io/certificate"
)

// write puts a verdict on the page in words.
func (v *verdict) write(p *page) {
	head := map[string]string{isTrue: "%s is true to the book.", isFalse: "%s is NOT what the book says.", cannotTell: "%s: whether the book said so cannot be told.",
		unbelieved: "%s says what the book says, but is NOT signed by anyone you believe."}[v.Answer]
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
	p.field("signature", "%s", v.sealWords())
	p.field("facts", "%s", v.Facts)
	p.field("page", "%s", v.Page)
	v.list(p, "What the sheet says and the book did not:", "sheet", "book", v.Differences)
	if v.SinceOn == "" {
		return
	}
	if len(v.Gone) > 0 {
		p.blank()
		if len(v.Touched) > 0 {
			p.say("The book now has errors that touch %s, so what has changed since cannot be told: roebook check lists them.", some(v.Touched, 8))
		}
		if gone := leftOf(v.Gone, v.Touched); len(gone) > 0 {
			p.say("On %s the book says nothing of %s that a sheet could be made of.", v.SinceOn, some(gone, 8))
		}
		return
	}
	if len(v.Since) == 0 {
		p.blank()
		p.say("Nothing of it has changed in the book by %s.", v.SinceOn)
		return
	}
	v.list(p, "What the book says otherwise on "+v.SinceOn+":", "sheet", "book now", v.Since)
}

// leftOf returns the ids of a list that another does not have.
func leftOf(list, other []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(id string) bool { return slices.Contains(other, id) })
}

func (v *verdict) sealWords() string {
	switch s := v.Signature; s.State {
	case certificate.Good:
		return fmt.Sprintf("good: by %s, key %s", s.Signer, s.Key)
	case certificate.Unknown:
		return "it holds, by the key " + s.Key + v.unknownKey()
	case certificate.Stripped:
		return "missing: the sheet says that it is signed by " + s.Key
	case certificate.Unsigned:
		return "none: unsigned"
	}
	return v.Signature.State + ": " + v.Signature.Why
}

// whyUnbelieved says why no one of --signers vouches for a sheet.
func (v *verdict) whyUnbelieved() string {
	switch v.Signature.State {
	case certificate.Unsigned:
		return "it is not signed, so nobody named in " + v.Signers + " vouches for it"
	case certificate.Unknown:
		return "the key that signed it is not named in " + v.Signers
	}
	return "its signature could not be checked against " + v.Signers + ": " + v.Signature.Why
}

// unknownKey says where the key was looked for.
func (v *verdict) unknownKey() string {
	switch {
	case v.Signers != "":
		return ", which is not named in " + v.Signers
	case v.gitSigners:
		return ", which is not named in the allowed-signers file that git is told of; another one: --signers FILE"
	}
	return "; whose it is cannot be told without an allowed-signers file: --signers FILE"
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
