package forecast

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The answer is the same on any number of cores, and another seed gives another.
func TestSameOnAnyCores(t *testing.T) {
	start := startOf(t, demo(t), "tessamora-ford")
	o := usual(AvoidSiblings)
	o.Failed, o.NewWild = 0.2, 3
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := play(t, start, o)
	for _, cores := range []int{2, 3, 8} {
		runtime.GOMAXPROCS(cores)
		if r := play(t, start, o); !reflect.DeepEqual(r, one) {
			t.Errorf("another answer on %d cores", cores)
		}
	}
	o.Seed = 2
	if r := play(t, start, o); reflect.DeepEqual(r.Generations, one.Generations) {
		t.Error("the same answer with another seed")
	}
}

// A longer forecast begins with the shorter one.
func TestLongerBeginsTheSame(t *testing.T) {
	start := startOf(t, demo(t), "candlewick")
	for _, scheme := range Schemes {
		o := usual(scheme)
		o.NewWild, o.Generations = 2, 12
		long := play(t, start, o)
		o.Generations = 5
		if short := play(t, start, o); !reflect.DeepEqual(short.Generations, long.Generations[:6]) {
			t.Errorf("%s: the first five generations are not the same", scheme)
		}
	}
}

// One pair with two young whose sex falls by chance goes on in half of the cases
// each generation; what lives on is full sibs.
func TestDyingOut(t *testing.T) {
	o := Options{Scheme: Random, Pairs: 1, Keep: 2, Males: 0.5, Generations: 4, Replicates: 4000}
	r := play(t, unrelated(1, 1), o)
	exactly(t, r, 0, 0, 1./4, 3./8, 1./2)
	for g := 1; g <= 4; g++ {
		n, p := float64(o.Replicates), math.Pow(0.5, float64(g))
		if z := (float64(r.Generations[g].Runs) - n*p) / math.Sqrt(n*p*(1-p)); math.Abs(z) > 4.5 {
			t.Errorf("generation %d: %d runs live, want about %g: z = %.2f", g, r.Generations[g].Runs, n*p, z)
		}
	}
	if r.DiedOut != o.Replicates-r.Generations[4].Runs {
		t.Errorf("%d died out, and %d live", r.DiedOut, r.Generations[4].Runs)
	}
	if fall := r.Below(0.01); fall.Runs != r.DiedOut || fall.Median != 1 || fall.Low != 1 || fall.High > 5 {
		t.Errorf("a run that dies out has fallen: %+v", fall)
	}
	o.Generations, o.Keep = 30, 2
	if r = play(t, unrelated(1, 1), o); len(r.Generations) > 30 || r.DiedOut != o.Replicates {
		t.Errorf("%d generations, %d died out", len(r.Generations), r.DiedOut)
	}
}

// Whatever the options, every number is one that can be.
func TestAnyOptions(t *testing.T) {
	state := demo(t)
	starts := []*Start{unrelated(3, 3), startOf(t, state, "tessamora-ford"), startOf(t, state, "candlewick")}
	rapid.Check(t, func(t *rapid.T) {
		o := Options{
			Scheme: rapid.SampledFrom(Schemes).Draw(t, "scheme"), Groups: rapid.IntRange(2, 4).Draw(t, "groups"),
			Pairs: rapid.IntRange(0, 8).Draw(t, "pairs"), Keep: rapid.IntRange(2, 30).Draw(t, "keep"),
			Males: rapid.Float64Range(0.1, 0.9).Draw(t, "males"), BySex: rapid.Bool().Draw(t, "by sex"),
			Failed: rapid.Float64Range(0, MostFailed).Draw(t, "failed"), NewWild: rapid.IntRange(0, 5).Draw(t, "wild"),
			Every: rapid.IntRange(1, 4).Draw(t, "every"), Generations: rapid.IntRange(1, 8).Draw(t, "generations"), Replicates: 9,
			Seed: rapid.Uint64().Draw(t, "seed"),
		}
		start := rapid.SampledFrom(starts).Draw(t, "start")
		if o.Check() != nil || start.Check(o) != nil {
			t.Skip("refused")
		}
		r, err := Run(context.Background(), start, o, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range r.Generations {
			for _, b := range []Band{g.Inbreeding, g.GeneDiversity, g.NewWild} {
				if !(b.Low >= -1e-12 && b.Low <= b.High && b.High <= 1+1e-12 && b.Mean >= -1e-12 && b.Mean <= 1+1e-12) {
					t.Fatalf("generation %d: %+v", g.Number, b)
				}
			}
		}
		b := newBreeder(start, o)
		b.chance = randFor(o)
		b.begin()
		for g := 1; g <= o.Generations && b.now.both(); g++ {
			b.breed(g)
			want := o.Keep
			if o.NewWild > 0 && g%o.Every == 0 {
				want += o.NewWild
			}
			if n := len(b.now.sex[male]) + len(b.now.sex[female]); n != want {
				t.Fatalf("generation %d has %d fish, want %d", g, n, want)
			}
		}
	})
}

func TestBadOptions(t *testing.T) {
	for _, test := range []struct {
		change func(o *Options)
		want   string
	}{
		{func(o *Options) { o.NewWild, o.Every = 2, 0 }, "at least 1"},
		{func(o *Options) { o.NewWild, o.Every = 2, -3 }, "at least 1"},
		{func(o *Options) { o.NewWild = -1 }, "make no sense"},
		{func(o *Options) { o.Generations = 0 }, "1 to 200 generations"},
		{func(o *Options) { o.Generations = 201 }, "1 to 200 generations"},
		{func(o *Options) { o.Replicates = 0 }, "runs"},
		{func(o *Options) { o.Keep = 1 }, "can be kept"},
		{func(o *Options) { o.Pairs = 41 }, "must give one"},
		{func(o *Options) { o.Males = 0 }, "share of males"},
		{func(o *Options) { o.Males = 1 }, "share of males"},
		{func(o *Options) { o.Males = math.NaN() }, "share of males"},
		{func(o *Options) { o.Failed = 1 }, "fail"},
		{func(o *Options) { o.Failed = math.NaN() }, "fail"},
		{func(o *Options) { o.Scheme = "other" }, "no scheme"},
		{func(o *Options) { o.Scheme, o.Pairs = AvoidSiblings, 0 }, "chooses pairs"},
		{func(o *Options) { o.Scheme, o.Groups = Rotate, 1 }, "2 groups at least"},
		{func(o *Options) { o.Scheme, o.Groups = Rotate, 5 }, "a pair each"},
		{func(o *Options) { o.Scheme, o.Groups, o.Pairs, o.Keep = Rotate, 5, 0, 9 }, "2 young each"},
	} {
		o := usual(Random)
		test.change(&o)
		if _, err := Run(context.Background(), unrelated(3, 3), o, nil); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%+v: error %v, want %q", o, err, test.want)
		}
	}
}

func TestBadStart(t *testing.T) {
	ring := usual(Rotate)
	for _, test := range []struct {
		start *Start
		o     Options
		want  string
	}{
		{&Start{}, usual(Random), "no fish is living"},
		{unrelated(0, 4), usual(Random), "no male"},
		{unrelated(4, 0), usual(Random), "no female"},
		{&Start{Records: []Record{{Unsexed: 1}}, Self: []float64{0.5}, Kinship: [][]float64{{0}}}, usual(Random), "only one fish"},
		{unrelated(2, MostLiving), usual(Random), "at most 20000"},
		{unrelated(2, 4), ring, "3 groups need a male and a female each"},
		{unrelated(4, 2), ring, "3 groups need"},
	} {
		if _, err := Run(context.Background(), test.start, test.o, nil); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("error %v, want %q", err, test.want)
		}
	}
}

func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	o := usual(Random)
	o.Replicates = MostReplicates
	told := 0
	_, err := Run(ctx, unrelated(4, 4), o, func(done, total int) {
		if told = done; done > total/10 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) || told > o.Replicates/2 {
		t.Errorf("error %v after %d runs", err, told)
	}
	search := Search{Start: unrelated(4, 4), Options: o, Goal: Goal{0.5, 0.95}, KeepOfPair: 10}
	if _, _, err := search.LeastPairs(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("search: error %v", err)
	}
}

// What a keeper waits for: 200 runs, 25 generations, 40 young of 4 pairs.
func BenchmarkRun(b *testing.B) {
	start := startOf(b, demo(b), "glowlight-danio")
	for _, scheme := range Schemes {
		b.Run(string(scheme), func(b *testing.B) {
			o := usual(scheme)
			o.Replicates = 200
			for b.Loop() {
				play(b, start, o)
			}
		})
	}
	for _, keep := range []int{40, 200} {
		b.Run(fmt.Sprintf("colony of %d", keep), func(b *testing.B) {
			o := together(keep, keep/2, 25, 200)
			for b.Loop() {
				play(b, start, o)
			}
		})
	}
}
