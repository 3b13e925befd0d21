package records

import (
	"bytes"
	"os"
	"testing"

	"pgregory.net/rapid"
)

// The canonical form says the same, keeps every comment (which Format itself
// proves) and is its own canonical form.
func TestFormatInAnyHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, _ := handwritten(t, "a.yaml")
		once, err := Format(f)
		if err != nil {
			t.Fatalf("%v\n%s\n---\n%s", err, f.Text, once)
		}
		twice, err := Format(File{f.Path, once})
		if err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("%v\n%s\n--- once\n%s\n--- twice\n%s", err, f.Text, once, twice)
		}
	})
}

func TestFormatDemo(t *testing.T) {
	for _, name := range []string{"tessamora-ford", "candlewick", "glowlight-danio"} {
		text, err := os.ReadFile("../../testdata/demo/lines/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		once, err := Format(File{name + ".yaml", text})
		if err != nil {
			t.Fatal(err)
		}
		if twice, err := Format(File{name + ".yaml", once}); err != nil || !bytes.Equal(once, twice) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
