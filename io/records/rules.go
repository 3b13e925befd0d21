package records

import "roebook/pedigree"

// Rules returns the rules of the format, sorted by name: what a book must keep
// to before the records can be read. The rules of what can be true are those of
// package pedigree.
func Rules() []pedigree.Rule {
	rule := func(name, meaning string) pedigree.Rule { return pedigree.Rule{Name: name, Meaning: meaning} }
	doubt := func(name, meaning string) pedigree.Rule {
		return pedigree.Rule{Name: name, Severity: pedigree.Warning, Meaning: meaning}
	}
	return []pedigree.Rule{
		rule("bad-date", "A date is a day, month or year that the calendar has."),
		rule("bad-id", "An id is one short word, so that it can stand in lists, on labels and on the command line."),
		rule("control-character", "Characters that cannot be seen make two ids that look alike, or garble the screen."),
		rule("count-and-sexes", "A bare count means that no fish is sexed."),
		rule("counts-rise", "No more fry swim than hatched: each count is at most the one before it."),
		rule("date-and-planned", "A spawn has happened or is only intended."),
		rule("duplicate-id", "An id is one record in the whole book."),
		rule("duplicate-key", "Of two values for one key nobody can say which is meant."),
		doubt("empty-file", "A record file without records may have lost them."),
		rule("empty-lot", "A lot begins with fish in it."),
		rule("file-encoding", "A book is UTF-8 text."),
		doubt("file-name", "Only files named .yaml are read."),
		rule("file-size", "A file or a part of one that is too large would keep the program busy for hours."),
		rule("generation", "A declared generation has a form that can be counted."),
		rule("group-and-parents", "A group is both parents."),
		rule("line-differs", "Files of one line say the same about it."),
		doubt("linked-folder", "Links to folders are not followed: they may lead in a circle."),
		rule("locus-differs", "Files of one line describe a locus alike."),
		doubt("look-alike-id", "Two ids that look alike will be taken for one: letters of other scripts, 0 and O, 1 and l."),
		rule("misplaced-record", "Fish and lots stand under `stock`, spawns under `spawns`: under another word they say something else."),
		rule("missing-book", "roebook.yaml gives the book's name."),
		rule("missing-date", "What happened to a lot can only be counted with its date."),
		rule("missing-line", "Every record belongs to a line."),
		rule("more-than-there-were", "No more fry are deformed, culled or lost than there were."),
		rule("named-twice", "A founder is not kin of itself."),
		rule("negative-number", "There are no fewer than no fish."),
		doubt("nested-book", "A book inside a book is read by itself."),
		rule("nesting", "No value stands a hundred levels deep; a bracket is missing."),
		rule("no-numbers", "A census says how many fish there are."),
		rule("no-origin", "Kinship begins with where a fish came from."),
		rule("no-parents", "Every spawn has a sire and a dam, known or not."),
		rule("no-value", "A key without a value says nothing."),
		rule("not-a-lot", "One fish has no census."),
		rule("not-whole", "Fish are counted in whole numbers."),
		rule("number-too-large", "A number beyond a thousand million is a slip of the key."),
		rule("odds", "What cannot have been has no place among the odds."),
		rule("related-founders", "Kin are two records or more, and their kinship is a number."),
		rule("related-range", "Two fish are at most as closely related as a fish is to itself."),
		rule("repeat-and-parents", "A repeat has the parents of the first spawn."),
		rule("several-origins", "A record came into the book in one way."),
		rule("sex-and-numbers", "`sex` is for one fish; numbers make a lot."),
		rule("share-range", "A share lies between 0 and 1."),
		rule("sires-with-odds", "How several parents share stated odds is not defined."),
		rule("tab-indent", "YAML indents with spaces."),
		rule("tank-differs", "One tank has one description."),
		rule("unknown-id", "An id names a record of the book."),
		rule("unknown-key", "A key that is not known would be lost without a word."),
		rule("unknown-word", "Some keys take one of a few words."),
		rule("unreadable-file", "What cannot be read cannot be counted."),
		rule("wrong-kind", "A value has the form that its key needs."),
		rule("wrong-record", "Stock stands where stock is needed, and a spawn where a spawn is."),
		rule("yaml", "The text is valid YAML."),
		rule("yaml-extras", "The book is plain YAML: nothing is written in one place and meant in another."),
	}
}
