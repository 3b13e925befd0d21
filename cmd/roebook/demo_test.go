package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"roebook/genetics/pairing"
)

// ran is what a command in process gave.
type ran struct {
	status   int
	out, err string
}

// runIn runs the program in a folder, on a page of so many columns.
func runIn(dir string, width int, args ...string) ran {
	var out, err bytes.Buffer
	env := &environment{out: &out, err: &err, now: today, dir: dir, width: width}
	return ran{env.run(args), out.String(), err.String()}
}

// demoBook writes the demo book into a folder and returns it.
func demoBook(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "fishroom")
	if r := runIn(t.TempDir(), 100, "demo", dir); r.status != done {
		t.Fatalf("demo: status %d\n%s", r.status, r.err)
	}
	return dir
}

// shellWords splits a command line at spaces that are not in double quotes.
func shellWords(line string) []string {
	quoted := false
	var words []string
	for _, part := range strings.FieldsFunc(line, func(r rune) bool {
		if r == '"' {
			quoted = !quoted
		}
		return r == ' ' && !quoted
	}) {
		words = append(words, strings.ReplaceAll(part, `"`, ""))
	}
	return words
}

// TestExamples runs every example of every command's help on the demo book.
func TestExamples(t *testing.T) {
	examples := 0
	visit(newRoot(&environment{out: io.Discard, err: io.Discard}), func(cmd *cobra.Command) {
		if strings.HasPrefix(cmd.CommandPath(), "roebook completion") || cmd.Name() == "help" {
			return
		}
		if cmd.Example == "" || cmd.Short == "" {
			t.Errorf("%s: no example, or not said what it is for", cmd.CommandPath())
			return
		}
		if asksGit[cmd.Name()] && !haveGit() {
			t.Logf("%s: git is not installed; its examples are not run", cmd.CommandPath())
			return
		}
		dir := demoBook(t)
		if asksGit[cmd.Name()] {
			if err := commitDemo(&environment{vars: gitVars(dir)}, dir); err != nil {
				t.Fatal(err)
			}
		}
		for line := range strings.SplitSeq(cmd.Example, "\n") {
			args := shellWords(line)
			if len(args) < 2 || args[0] != "roebook" {
				t.Errorf("%s: %q is no example", cmd.CommandPath(), line)
				continue
			}
			examples++
			if r := runIn(dir, 100, args[1:]...); r.status != done || r.out == "" {
				t.Errorf("%s: status %d\n%s%s", line, r.status, r.out, r.err)
			}
		}
	})
	if examples < 20 {
		t.Errorf("only %d examples were run", examples)
	}
}

// asksGit are the commands that need a book with a git history.
var asksGit = map[string]bool{"history": true, "since": true, "check": true, "merge-books": true, "demo": true, "provenance": true}

func visit(cmd *cobra.Command, do func(*cobra.Command)) {
	do(cmd)
	for _, sub := range cmd.Commands() {
		visit(sub, do)
	}
}

// TestAdviceWorks checks that the command told with a number of warnings shows so
// many, whatever the day and the folder.
func TestAdviceWorks(t *testing.T) {
	dir := demoBook(t)
	up, name := filepath.Split(dir)
	for _, c := range []struct {
		in    string
		flags []string
	}{{dir, nil}, {up, []string{"--book", name}}, {dir, []string{"--on", "2022-06-01"}}, {dir, []string{"--on", "2024"}},
		{up, []string{"--on", "2030-01-01", "--book", "./" + name}}} {
		r := runIn(c.in, 100, append([]string{"line"}, c.flags...)...)
		said, command, ok := strings.Cut(strings.TrimSpace(r.err), "; see: roebook ")
		if r.status != done || !ok {
			t.Fatalf("%v: status %d, %s", c.flags, r.status, r.err)
		}
		if r := runIn(c.in, 100, strings.Fields(command)...); !strings.Contains(r.out, ", "+said+" in ") {
			t.Errorf("%v: %s said, and %s shows\n%s%s", c.flags, said, command, r.out, r.err)
		}
	}
}

// questions are commands to ask of the demo book.
var questions = []string{
	"line", "line tessamora-ford", "line candlewick", "line glowlight-danio", "pairs", "inbreeding",
	"pairs --line candlewick --max-inbreeding 0.3 --keep 1", "inbreeding --on 2022-06-01", "line tessamora-ford --on 2020-01-01",
	"kinship TF-D2 TF-D4 --why", "kinship CW-H1 CW-H2 CW-H3 CW-J1 CW-K4 --why", "kinship TF-E1 TF-E2 TF-W1 GD-M1 GD-E1 CW-S16 TF-S17 TF-D3 TF-D3a",
	"show TF-D1a TF-E1 TF-W1 TF-W1a TF-A1 TF-B1x TF-C1b TF-M1 TF-K1 TF-S1 TF-S6 TF-S14 TF-S18",
	"show GD-K1 GD-A1 GD-M1 GD-C1 GD-K4 GD-S2 GD-S13 CW-K1 CW-K2 CW-F2 CW-S11",
	"show TF-E1 --on 2025-01-01", "check", "check --rules",
	"how-many sexes", "how-many founders 95%", "how-many allele 1% --generations 10", "how-many test-mating --with daughters --each 6",
	"how-many size --loss 0.1% --male-share 20%", "how-many size --males 6 --females 6", "how-many fry 40 --line glowlight-danio", "how-many fry 40 --line candlewick",
	"forecast tessamora-ford --replicates 20", "forecast candlewick --pairs 1 --keep 4 --new-wild 1 --failed 0.2",
	"forecast glowlight-danio --colony --scheme rotate --groups 4 --replicates 20 --every 1 --goal", "forecast tessamora-ford --scheme least-kinship --goal --pairs 8 --replicates 8",
}

// TestWidth checks that text keeps to the width of the page. The marked lines
// of check and ids alone on a line may be wider.
func TestWidth(t *testing.T) {
	dir := demoBook(t)
	for _, width := range []int{80, 100} {
		for _, question := range append(questions, "--help", "pairs --help", "show --help", "sheet --help", "forecast --help") {
			r := runIn(dir, width, strings.Fields(question)...)
			if r.status != done {
				t.Errorf("%s: status %d: %s", question, r.status, r.err)
			}
			for line := range strings.SplitSeq(r.out, "\n") {
				if n := columnsOf(line); n > width && !(question == "check" && strings.HasPrefix(line, "      ")) {
					t.Errorf("%s: %d columns on a page of %d: %s", question, n, width, line)
				}
				if strings.HasSuffix(line, " ") || strings.ContainsAny(line, "\t\x1b") {
					t.Errorf("%s: stray characters: %q", question, line)
				}
			}
		}
	}
}

// TestOneDocument checks that --json gives exactly one JSON document.
func TestOneDocument(t *testing.T) {
	dir := demoBook(t)
	for _, question := range questions {
		r := runIn(dir, 100, append(strings.Fields(question), "--json")...)
		decoder := json.NewDecoder(strings.NewReader(r.out))
		var document any
		if err := decoder.Decode(&document); err != nil {
			t.Errorf("%s: %v", question, err)
		}
		if err := decoder.Decode(&document); err != io.EOF {
			t.Errorf("%s: more than one document", question)
		}
		for _, key := range regexp.MustCompile(`"([^"]*)":`).FindAllStringSubmatch(r.out, -1) {
			if !regexp.MustCompile(`^[a-z_]+$`).MatchString(key[1]) {
				t.Errorf("%s: the key %q is not in snake_case", question, key[1])
			}
		}
	}
}

// TestPartsAddUp checks that the parts of --why add up, as shown and in full.
func TestPartsAddUp(t *testing.T) {
	dir := demoBook(t)
	ids := strings.Fields("TF-D1a TF-D2 TF-D4 TF-E1 TF-E2 TF-S17 CW-H1 CW-H3 CW-J1 CW-K4 GD-D1 GD-E1 GD-E2 GD-S13")
	r := runIn(dir, 100, append(append([]string{"kinship"}, ids...), "--why")...)
	sum, blocks := 0.0, 0
	for line := range strings.SplitSeq(r.out, "\n") {
		fields := strings.Fields(line)
		if len(fields) < 2 {
			continue
		}
		value, err := strconv.ParseFloat(fields[0], 64)
		switch {
		case strings.HasPrefix(line, "The kinship of"):
			sum = 0
		case err != nil || !strings.HasPrefix(line, "  "):
		case strings.HasSuffix(line, "  in all"):
			blocks++
			if math.Abs(sum-value) > 1e-9 {
				t.Errorf("the parts as shown add up to %.4f, not %.4f", sum, value)
			}
		default:
			sum += value
		}
	}
	if blocks < 20 {
		t.Errorf("only %d splits were shown", blocks)
	}
	var document kinshipJSON
	if err := json.Unmarshal([]byte(runIn(dir, 100, append(append([]string{"kinship"}, ids...), "--why", "--json")...).out), &document); err != nil {
		t.Fatal(err)
	}
	for _, path := range document.Paths {
		sum := 0.0
		for _, through := range path.Through {
			sum += through.Kinship
		}
		if math.Abs(sum-*path.Kinship) > 1e-12 {
			t.Errorf("%v: the parts add up to %v, not %v", path.IDs, sum, *path.Kinship)
		}
	}
}

// TestSheetAgrees checks that the inbreeding expected of a proposed pair is that
// of the ranking, and the cautions are.
func TestSheetAgrees(t *testing.T) {
	dir := demoBook(t)
	var ranking pairsJSON
	if err := json.Unmarshal([]byte(runIn(dir, 100, "pairs", "--json").out), &ranking); err != nil {
		t.Fatal(err)
	}
	from := source{env: &environment{out: io.Discard, err: io.Discard, now: today, dir: dir, width: 100}}
	l, err := from.load()
	if err != nil {
		t.Fatal(err)
	}
	words := map[pairing.Flag]string{pairing.OverLimit: "over the limit", pairing.Hybrid: "a hybrid", pairing.MixedLocalities: "mixes localities",
		pairing.Quarantine: "in quarantine", pairing.SexNotTold: "sex not told", pairing.BothOfOneLot: "both of one lot",
		pairing.UnknownAncestor: "some ancestors unknown"}
	for _, pair := range ranking.Pairs {
		litter, ok, err := l.proposal(pair.Sire + "," + pair.Dam)
		if err != nil || !ok {
			t.Fatal(pair, err)
		}
		if math.Abs(*litter.Inbreeding-pair.Inbreeding) > 1e-12 || litter.Generation != pair.Generation.Label {
			t.Errorf("%s x %s: %v, %s on the sheet, %v, %s in the ranking", pair.Sire, pair.Dam,
				*litter.Inbreeding, litter.Generation, pair.Inbreeding, pair.Generation.Label)
		}
		said := strings.Join(litter.Beware, "; ")
		for flag, caution := range words {
			if strings.Contains(said, caution) != slices.Contains(pair.Flags, flag) {
				t.Errorf("%s x %s: the sheet says %q, the ranking %v", pair.Sire, pair.Dam, said, pair.Flags)
			}
		}
	}
}

// TestProposalAcrossLines checks that the sheet of a pair of two species names
// both, and says what comes of them.
func TestProposalAcrossLines(t *testing.T) {
	from := source{env: &environment{out: io.Discard, err: io.Discard, now: today, dir: demoBook(t), width: 100}}
	l, err := from.load()
	if err != nil {
		t.Fatal(err)
	}
	litter, ok, err := l.proposal("TF-D1,GD-E1")
	if err != nil || !ok {
		t.Fatal(err)
	}
	if litter.Species != "Ilyodon furcidens x Danio choprae (hybrid)" || litter.CommonName != "" || litter.Line != "glowlight-danio" {
		t.Errorf("%q, %q of the line %q", litter.Species, litter.CommonName, litter.Line)
	}
	if !slices.Contains(litter.Beware, "a hybrid, of two species: Ilyodon furcidens and Danio choprae") {
		t.Errorf("%q", litter.Beware)
	}
	planned := l.litter(l.book.SpawnByID("TF-S18"))
	if planned.Species != "Ilyodon furcidens" || !strings.HasSuffix(planned.GenerationWords, "in part on a seller's word") {
		t.Errorf("%q, %q", planned.Species, planned.GenerationWords)
	}
}
