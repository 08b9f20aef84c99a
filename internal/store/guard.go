package store

import (
	"runtime"
	"runtime/debug"
	"strings"
)

// guarded calls do, and makes a Damaged fault of a panic that comes from reading
// a damaged file: bbolt panics on some, and a read past the end of a mapped file
// is a signal, SIGBUS. Any other panic is a mistake of ours and goes on.
func guarded(path string, do func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if p := recover(); p != nil {
			if !fromFile(p) {
				panic(p)
			}
			err = damaged(path, "a page in it does not read")
		}
	}()
	return do()
}

// fromFile says whether the panic p, just recovered, was a bad memory address
// (package runtime/debug, SetPanicOnFault) or was raised in bbolt.
func fromFile(p any) bool {
	if _, ok := p.(interface{ Addr() uintptr }); ok {
		return true
	}
	pcs := make([]uintptr, 64)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(3, pcs)])
	for {
		f, more := frames.Next()
		if !strings.HasPrefix(f.Function, "runtime.") {
			return strings.HasPrefix(f.Function, "go.etcd.io/bbolt")
		}
		if !more {
			return false
		}
	}
}
