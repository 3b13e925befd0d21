package records

import "roebook/pedigree"

// Kind says what form a value takes.
type Kind int8

// The kinds of value.
const (
	Text    Kind = iota // any word or text, as written
	ID                  // the id of a record
	Word                // one of a few known words
	Date                // 2024-03-05, 2024-03 or 2024
	YesNo               // true or false
	Whole               // a whole number, 0 or more
	Number              // a number, 0 or more
	Share               // a number between 0 and 1
	Group               // keys of its own: see Field.Fields
	Groups              // a list of such groups
	List                // a list of words
	Named               // keys of the keeper's choice, each with a value
	Various             // several of these forms: the meaning says which
)

func (k Kind) String() string {
	return [...]string{"text", "id", "word", "date", "true or false", "whole number", "number",
		"number from 0 to 1", "keys", "list of keys", "list", "names with values", "several forms"}[k]
}

// Field is one key of a record: its name, the form of its value and what it
// means in one line.
type Field struct {
	Key     string
	Kind    Kind
	Meaning string
	Fields  []Field // of a Group or Groups, and of what a Named key holds
}

// field is a Field with the way to read its value into a T.
type field[T any] struct {
	Field
	read func(c cell, into *T)
}

// Fields returns the keys of a type of record, in the order in which they are
// documented: "book" (of roebook.yaml), "line" (of a record file), "tank",
// "stock", "spawn" or "locus"; nil for any other name.
func Fields(record string) []Field {
	switch record {
	case "book":
		return fieldsOf(bookFields)
	case "line":
		return fieldsOf(lineFields)
	case "tank":
		return fieldsOf(tankFields)
	case "stock":
		return fieldsOf(stockFields)
	case "spawn":
		return fieldsOf(spawnFields)
	case "locus":
		return fieldsOf(locusFields)
	}
	return nil
}

func fieldsOf[T any](fields []field[T]) []Field {
	out := make([]Field, len(fields))
	for i, f := range fields {
		out[i] = f.Field
	}
	return out
}

func keysOf[T any](fields []field[T]) []string {
	out := make([]string, len(fields))
	for i, f := range fields {
		out[i] = f.Key
	}
	return out
}

// allowsNothing says that an empty value is the same as a key left out.
func (f Field) allowsNothing() bool { return f.Kind == Text && f.Key != "line" && f.Key != "book" }

// readFields reads a mapping by its table of fields. Keys that are unknown,
// doubled or without a value are told.
func readFields[T any](c cell, fields []field[T], into *T) {
	if !c.is(mapping) {
		return
	}
	c.eachKey(func(key cell) {
		for i := range fields {
			if f := &fields[i]; f.Key == key.name {
				if key.n.kind == missing {
					if !f.allowsNothing() {
						key.noValue()
					}
					return
				}
				key.mark()
				f.read(key, into)
				return
			}
		}
		key.unknownKey(keysOf(fields))
	})
}

// The common shapes of a field.

func textField[T any](key, meaning string, to func(*T) *string) field[T] {
	return field[T]{Field{Key: key, Kind: Text, Meaning: meaning}, func(c cell, into *T) { *to(into) = c.text() }}
}

func dateField[T any](key, meaning string, to func(*T) *pedigree.Date) field[T] {
	return field[T]{Field{Key: key, Kind: Date, Meaning: meaning}, func(c cell, into *T) { *to(into) = c.date() }}
}

func wordField[T any](key, meaning string, words []string, to func(*T) *string) field[T] {
	return field[T]{Field{Key: key, Kind: Word, Meaning: meaning}, func(c cell, into *T) { *to(into) = c.word(words) }}
}

func yesNoField[T any](key, meaning string, to func(*T) *bool) field[T] {
	return field[T]{Field{Key: key, Kind: YesNo, Meaning: meaning}, func(c cell, into *T) { *to(into) = c.yesNo() }}
}

func tallyField[T any](key, meaning string, to func(*T) *pedigree.Tally) field[T] {
	return field[T]{Field{Key: key, Kind: Whole, Meaning: meaning}, func(c cell, into *T) { *to(into) = c.tally() }}
}

func numberField[T any](key, meaning string, to func(*T) *float64) field[T] {
	return field[T]{Field{Key: key, Kind: Number, Meaning: meaning}, func(c cell, into *T) { *to(into), _ = c.number() }}
}

func groupField[T, G any](key, meaning string, fields []field[G], read func(c cell, into *T)) field[T] {
	return field[T]{Field{Key: key, Kind: Group, Meaning: meaning, Fields: fieldsOf(fields)}, read}
}
