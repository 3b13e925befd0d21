package pedcsv

import (
	"runtime"
	"syscall"
)

// MakeRoom readies the heap for the table of a file of so many bytes, and for
// what is worked out from it: from few large pages, where the system has them,
// for it takes longer to ask for many small ones than to read the table.
func MakeRoom(size int64) {
	const (
		least, most = 1 << 20, 100 << 20 // of a file: below it does not matter
		times       = 8                  // what a table takes is so many times its text
	)
	if size < least {
		return
	}
	room := make([]byte, times*min(size, most))
	// Where the advice is not taken the pages are small: nothing else changes.
	_ = syscall.Madvise(room, syscall.MADV_HUGEPAGE)
	runtime.GC() // room is free now, and keeps its pages
}
