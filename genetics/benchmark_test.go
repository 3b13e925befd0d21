package genetics_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"roebook/genetics"
	"roebook/io/pedcsv"
	"roebook/pedigree"
)

// Each benchmark measures its yardstick in the same run and reports the ratio,
// from the best time of each: other work may run beside it.

var everyFish = flag.Bool("whole", false, "run slow yardsticks on every fish, not on every fortieth")

func compileTable(tb interface{ Fatal(...any) }, t *pedigree.Table, o genetics.TableOptions) *genetics.TableModel {
	m, err := genetics.CompileTable(context.Background(), t, o)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

// fastest keeps the shortest time of what it has measured.
type fastest time.Duration

func (s *fastest) measure(f func()) {
	start := time.Now()
	f()
	if took := time.Since(start); *s == 0 || took < time.Duration(*s) {
		*s = fastest(took)
	}
}

func (s fastest) seconds() float64 { return time.Duration(s).Seconds() }

// The whole way of a million fish, step by step, against a bare loop over the
// rows of the same file.
func BenchmarkHatchery(b *testing.B) {
	text := csvOf(hatchery())
	pedcsv.MakeRoom(int64(len(text))) // as the program does
	var bare, read, compute, write, line fastest
	var plan genetics.Plan
	for b.Loop() {
		bare.measure(func() { bareCSV(text) })
		var table *pedigree.Table
		read.measure(func() { table, _ = pedcsv.ParseTable(text, "hatchery.csv") })
		var m *genetics.TableModel
		compute.measure(func() { m = compileTable(b, table, genetics.TableOptions{}) })
		write.measure(func() {
			if err := pedcsv.WriteInbreeding(io.Discard, table, m.Inbreeding()); err != nil {
				b.Fatal(err)
			}
		})
		line.measure(func() {
			if _, _, err := m.On(20260101).Line(context.Background(), nil); err != nil {
				b.Fatal(err)
			}
		})
		plan = m.Plan()
	}
	b.Logf("bare csv %.3f s; %v", bare.seconds(), plan)
	b.ReportMetric(bare.seconds(), "bare-csv-s")
	b.ReportMetric(read.seconds()/bare.seconds(), "read/csv")
	b.ReportMetric(compute.seconds()/bare.seconds(), "inbreeding/csv")
	b.ReportMetric(write.seconds()/bare.seconds(), "write/csv")
	b.ReportMetric((read+compute+write).seconds()/bare.seconds(), "all/csv")
	b.ReportMetric(line.seconds()/bare.seconds(), "line/csv")
}

// The program itself, from file to pipe, with its peaks of memory.
func BenchmarkHatcheryProgram(b *testing.B) {
	text := csvOf(hatchery())
	dir := b.TempDir()
	program, file := filepath.Join(dir, "roebook"), filepath.Join(dir, "hatchery.csv")
	if out, err := exec.Command("go", "build", "-o", program, "roebook/cmd/roebook").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	if err := os.WriteFile(file, text, 0o600); err != nil {
		b.Fatal(err)
	}
	var bare fastest
	commands := []*timedProgram{
		{name: "inbreeding", args: []string{"inbreeding", "--pedigree", file, "--csv"}},
		{name: "line", args: []string{"line", "--pedigree", file}},
	}
	for b.Loop() {
		bare.measure(func() { bareCSV(text) })
		for _, c := range commands {
			c.run(b, program)
		}
	}
	for _, c := range commands {
		c.watch(b, program)
		b.ReportMetric(c.wall.seconds()/bare.seconds(), c.name+"/csv")
		b.ReportMetric(c.processor.Seconds()/bare.seconds(), c.name+"-cpu/csv")
		b.ReportMetric(c.peak, c.name+"-peak-MB")
	}
}

// timedProgram is a command with its shortest times and its peak of memory.
type timedProgram struct {
	name      string
	args      []string
	wall      fastest
	processor time.Duration // on all cores, user and system
	peak      float64       // MB, where the system tells it
}

func (p *timedProgram) run(b *testing.B, program string) {
	command := exec.Command(program, p.args...)
	p.wall.measure(func() {
		if out, err := command.Output(); err != nil || len(out) == 0 {
			b.Fatal(err, len(out))
		}
	})
	state := command.ProcessState
	if took := state.UserTime() + state.SystemTime(); p.processor == 0 || took < p.processor {
		p.processor = took
	}
}

// watch runs it once more, looking again and again at how much memory it took:
// what is told after the end counts that of the program which started it.
func (p *timedProgram) watch(b *testing.B, program string) {
	command := exec.Command(program, p.args...)
	if err := command.Start(); err != nil {
		b.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- command.Wait() }()
	for {
		select {
		case err := <-ended:
			if err != nil {
				b.Fatal(err)
			}
			return
		case <-time.After(time.Millisecond):
			status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", command.Process.Pid))
			_, peak, _ := strings.Cut(string(status), "VmHWM:")
			var kB float64
			_, _ = fmt.Sscan(peak, &kB)
			p.peak = max(p.peak, kB/1024)
		}
	}
}

// againstMeuwissenLuo measures the method chosen, and the others that fit, and
// the published one on every step-th fish.
func againstMeuwissenLuo(b *testing.B, table *pedigree.Table, step int) {
	if *everyFish {
		step = 1
	}
	m := compileTable(b, table, genetics.TableOptions{})
	f := append([]float64(nil), m.Inbreeding()...)
	var published, ours fastest
	published.measure(func() { meuwissenLuo(table, f, step) })
	for i, want := range f {
		if math.Abs(m.Inbreeding()[i]-want) > 1e-12 {
			b.Fatalf("inbreeding of %d: %v, published method %v", i, m.Inbreeding()[i], want)
		}
	}
	for b.Loop() {
		ours.measure(func() { compileTable(b, table, genetics.TableOptions{}) })
	}
	b.Logf("Meuwissen & Luo %.2f s (every %d. fish, times %d), ours %.3f s; %v; others: %v",
		published.seconds()*float64(step), step, step, ours.seconds(), m.Plan(), m.Plan().Others)
	b.ReportMetric(published.seconds()*float64(step)/ours.seconds(), "x-faster")
	b.ReportMetric(float64(m.Plan().Memory)/1e6, "frontier-MB")
}

func BenchmarkOpenPond(b *testing.B) { againstMeuwissenLuo(b, openPond(), 1) }

func BenchmarkOverlapping(b *testing.B) { againstMeuwissenLuo(b, overlapping(), 40) }

// The tabular method on a dense matrix, where that can still be held.
func BenchmarkTabular(b *testing.B) {
	table := discrete(10, 400, 20, 40)
	var tabular, ours fastest
	for b.Loop() {
		tabular.measure(func() { tabularTable(table) })
		ours.measure(func() { compileTable(b, table, genetics.TableOptions{}) })
	}
	b.ReportMetric(tabular.seconds()/ours.seconds(), "x-faster")
}

// Time against generations at a fixed width: twice the generations should take
// at most twice the time. The slope is that of log time on log generations.
func BenchmarkGrowth(b *testing.B) {
	for _, shape := range []struct {
		name        string
		make        func(generations int) *pedigree.Table
		generations []int
	}{
		{"hall", hall, []int{20, 40, 80, 160}},
		{"deep line", deepLine, []int{2500, 5000, 10000, 20000}},
	} {
		b.Run(shape.name, func(b *testing.B) {
			tables := make([]*pedigree.Table, len(shape.generations))
			for i, generations := range shape.generations {
				tables[i] = shape.make(generations)
			}
			took := make([]fastest, len(tables))
			for b.Loop() {
				for i, table := range tables {
					took[i].measure(func() { compileTable(b, table, genetics.TableOptions{}) })
				}
			}
			var memory []string
			for i, table := range tables {
				plan := compileTable(b, table, genetics.TableOptions{}).Plan()
				memory = append(memory, fmt.Sprintf("%d generations: %.4f s, frontier %d bytes", shape.generations[i], took[i].seconds(), plan.Memory))
			}
			b.Log(strings.Join(memory, "; "))
			last := len(tables) - 1
			b.ReportMetric(math.Log(took[last].seconds()/took[0].seconds())/math.Log(float64(shape.generations[last])/float64(shape.generations[0])), "slope")
		})
	}
}

// The answers on a line of two hundred thousand fish, against the time that
// their inbreeding takes.
func BenchmarkTableLine(b *testing.B) {
	for name, table := range map[string]*pedigree.Table{"open pond": openPond(), "overlapping": overlapping()} {
		b.Run(name, func(b *testing.B) {
			table.Born = make([]pedigree.Date, table.Len())
			for i := range table.Born {
				table.Born[i] = pedigree.Date((1900+i*100/table.Len())*10000 + 601)
			}
			var compute, line, ancestors fastest
			for b.Loop() {
				var m *genetics.TableModel
				compute.measure(func() { m = compileTable(b, table, genetics.TableOptions{}) })
				line.measure(func() { _, _, _ = m.On(20260101).Line(context.Background(), nil) })
				ancestors.measure(func() { _, _ = m.On(20260101).EffectiveAncestors(context.Background(), nil) })
			}
			b.ReportMetric(line.seconds()/compute.seconds(), "line/inbreeding")
			b.ReportMetric(ancestors.seconds()/compute.seconds(), "ancestors/inbreeding")
		})
	}
}

// The benchmark file is what the generators say it is.
func TestHatcheryFile(t *testing.T) {
	table := discrete(3, 100, 5, 10)
	read, problems := pedcsv.ReadTable(bytes.NewReader(csvOf(table)), "t.csv")
	if len(problems) > 0 || read.Len() != table.Len() {
		t.Fatal(read.Len(), problems)
	}
	for i := range table.Sire {
		if read.Sire[i] != table.Sire[i] || read.Dam[i] != table.Dam[i] {
			t.Fatalf("parents of %d: %d and %d, want %d and %d", i, read.Sire[i], read.Dam[i], table.Sire[i], table.Dam[i])
		}
	}
}
