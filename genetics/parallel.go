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
