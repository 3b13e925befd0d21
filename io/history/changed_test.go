package history

import (
	"fmt"
	"strings"
	"testing"
)

// What a record says otherwise is told; what it says more, or of its numbers and
// its tank, is not.
func TestTurnedSince(t *testing.T) {
	text := strings.NewReplacer("/*", "#", "*/", "#").Replace(pondWithout())
	before, _ := sideOf(t, text, pondAfter)
	for _, c := range []struct{ old, new, want string }{
		{"P-W2: {wild: {date: 2020-01-01}, sex: female", "P-W2: {wild: {date: 2020-01-01}, sex: female, tank: T1, name: Ada", ""},
		{"P-F1: {spawn: P-S1, males: 2", "P-F1: {spawn: P-S1, males: 3", ""},
		{"P-F2: {spawn: P-S2", "P-F2: {spawn: P-S1", "P-F2 origin: young of P-S2 > young of P-S1 at pond.yaml:10"},
		{"P-W3: {wild: {date: 2020-01-01}", "P-W3: {wild: {date: 2020-01-02}", "P-W3 origin: caught 2020-01-01 > caught 2020-01-02 at pond.yaml:7"},
		{"sire: P-W3, dam: P-W4", "sire: P-W1, dam: [P-W4, P-W2]", "P-S2 sire: P-W3 > P-W1 at pond.yaml:15|P-S2 dam: P-W4 > P-W2 or P-W4 at pond.yaml:15"},
		{"sire: P-W1, dam: P-W2", "dam: P-W2", "P-S1 sire: P-W1 >  at pond.yaml:14"},
		{"P-S3: {date: 2022-06-01,", "P-S3: {date: 2022-05-30,", "P-S3 date: 2022-06-01 > 2022-05-30 at pond.yaml:16"},
		{"  P-G1: {spawn: P-S3, unsexed: 5, born: 2022-06-01}\n", "", "P-G1 record: in pond.yaml >  at pond.yaml:0"},
	} {
		if !strings.Contains(text, c.old) {
			t.Fatalf("there is no %q in\n%s", c.old, text)
		}
		after, _ := sideOf(t, strings.Replace(text, c.old, c.new, 1), pondAfter)
		var told []string
		for _, x := range TurnedSince(before.Book, after.Book) {
			told = append(told, fmt.Sprintf("%s %s: %s > %s at %s:%d", x.ID, x.What, x.Was, x.Is, x.File, x.Line))
		}
		if got := strings.Join(told, "|"); got != c.want {
			t.Errorf("%s: %q, want %q", c.new, got, c.want)
		}
	}
}
