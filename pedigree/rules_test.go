package pedigree

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// ruleCase is a book that breaks a rule, and some much like it that do not.
type ruleCase struct {
	rule  string
	on    string
	wrong []any
	right [][]any
}

func (c ruleCase) today() Date {
	if c.on == "" {
		return day("2024-06-01")
	}
	return day(c.on)
}

func allRuleCases() []ruleCase {
	return slices.Concat(parentCases(), sideCases(), repeatCases(), lotCases(), originCases(), lifeCases(), fryCases(), founderCases())
}

// TestRules: every rule tells of each book that breaks it, and of none of those
// that only look like it. What breaks a rule is what cannot be or is doubtful
// among fish and on a calendar; common practice, no source.
func TestRules(t *testing.T) {
	tested := make(map[string][2]int)
	for i, c := range allRuleCases() {
		t.Run(fmt.Sprintf("%s/%d", c.rule, i), func(t *testing.T) {
			b := bookOf(c.wrong...)
			found := ofRule(Check(b, c.today()), c.rule)
			if len(found) == 0 {
				t.Errorf("the rule does not tell of the wrong book; it tells: %v", Check(b, c.today()))
			}
			for _, p := range found {
				if pathAt(b, p.Position) == "nowhere" {
					t.Errorf("%q stands at no key of the book", p.Message)
				}
				for _, place := range p.Places {
					if pathAt(b, place.Position) == "nowhere" || place.Note == "" {
						t.Errorf("%q: its place %+v is no key of the book, or has no note", p.Message, place)
					}
				}
			}
			for j, records := range c.right {
				if found := ofRule(Check(bookOf(records...), c.today()), c.rule); len(found) > 0 {
					t.Errorf("the rule tells of right book %d: %v", j, found)
				}
			}
		})
		n := tested[c.rule]
		tested[c.rule] = [2]int{n[0] + 1, n[1] + len(c.right)}
	}
	for _, rule := range Rules() {
		if n := tested[rule.Name]; n[0] == 0 || n[1] == 0 {
			t.Errorf("%s: %d wrong and %d right books", rule.Name, n[0], n[1])
		}
	}
}

func ofRule(problems []Problem, rule string) (out []Problem) {
	for _, p := range problems {
		if p.Rule == rule {
			out = append(out, p)
		}
	}
	return out
}

// taintNothing are the errors that leave every answer about descent as it was.
var taintNothing = []string{"counts-contradict", "seen-more-than-fry"}

// TestRulesAreDocumented: names are unique and stable in form, and an error
// says which records it touches, a warning none.
func TestRulesAreDocumented(t *testing.T) {
	kebab := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	rules := Rules()
	for i, rule := range rules {
		if !kebab.MatchString(rule.Name) || rule.Meaning == "" || !strings.HasSuffix(rule.Meaning, ".") || rule.check == nil {
			t.Errorf("rule %q is not well documented", rule.Name)
		}
		if i > 0 && rules[i-1].Name >= rule.Name {
			t.Errorf("%s does not come after %s", rule.Name, rules[i-1].Name)
		}
	}
	for _, c := range allRuleCases() {
		for _, p := range Check(bookOf(c.wrong...), c.today()) {
			if touches := len(p.Records) > 0; touches != (p.Severity == Error && !slices.Contains(taintNothing, p.Rule)) {
				t.Errorf("%s (%s) names the records %v", p.Rule, p.Severity, p.Records)
			}
			if p.Hint == "" || p.Message == "" {
				t.Errorf("%s has no hint or no message", p.Rule)
			}
		}
	}
}

// TestMessages holds the page of all messages.
func TestMessages(t *testing.T) {
	page := map[string][]string{}
	for _, c := range allRuleCases() {
		b := bookOf(c.wrong...)
		for _, p := range ofRule(Check(b, c.today()), c.rule) {
			text := fmt.Sprintf("    at %s: %s\n        hint: %s\n", pathAt(b, p.Position), p.Message, p.Hint)
			for _, place := range p.Places {
				text += fmt.Sprintf("        see %s: %s\n", pathAt(b, place.Position), place.Note)
			}
			if len(p.Records) > 0 {
				text += fmt.Sprintf("        touches %s\n", strings.Join(p.Records, " "))
			}
			page[c.rule] = append(page[c.rule], text)
		}
	}
	var out strings.Builder
	for _, rule := range Rules() {
		fmt.Fprintf(&out, "%s (%s): %s\n%s\n", rule.Name, rule.Severity, rule.Meaning, strings.Join(page[rule.Name], ""))
	}
	golden(t, "testdata/messages.golden", out.String())
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.MkdirAll("testdata", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got); run with -update if it should:\n%s", file, diff)
	}
}
