package genetics

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// most is on how many cores work is shared. More than a few gain little: the
// work is bound by memory.
const mostWorkers = 8

func workers() int { return min(runtime.GOMAXPROCS(0), mostWorkers) }

// inParallel does the work from 0 to n in pieces of grain, on all cores. What a
// worker may keep for itself is told apart by its number, below workers().
func inParallel(n, grain int, work func(worker, from, to int)) {
	count := min(workers(), (n+grain-1)/grain)
	if count <= 1 {
		if n > 0 {
			work(0, 0, n)
		}
		return
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for worker := range count {
		all.Go(func() {
			for {
				to := int(next.Add(int64(grain)))
				from := to - grain
				if from >= n {
					return
				}
				work(worker, from, min(to, n))
			}
		})
	}
	all.Wait()
}

// piece is how many of a million fish are summed by themselves: always as many,
// so that the number of cores does not change the rounding.
const piece = 1 << 14

// pieces returns how many pieces n are.
func pieces(n int) int { return (n + piece - 1) / piece }

// inPieces does the work from 0 to n, piece by piece, on all cores.
func inPieces(n int, work func(worker, piece, from, to int)) {
	inParallel(pieces(n), 1, func(worker, first, end int) {
		for k := first; k < end; k++ {
			work(worker, k, k*piece, min((k+1)*piece, n))
		}
	})
}
