package main

import (
	"regexp"
	"strings"
)

var plainWord = regexp.MustCompile(`^[\pL\pN_@%+=:,./-]+$`)

// shellQuoted writes a word so that a shell takes it as one.
func shellQuoted(word string) string {
	if plainWord.MatchString(word) {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// command writes a command on the same book and day, to be typed as it stands.
func (s *source) command(words string) string {
	text := "roebook " + words
	if s.book != "" {
		text += " --book " + shellQuoted(s.book)
	}
	if s.on != "" {
		text += " --on " + shellQuoted(s.on)
	}
	return text
}
