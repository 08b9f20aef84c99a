package store

import (
	"runtime"
	"runtime/debug"
	"strings"
)

// catchDamage calls do and returns a Damaged fault for a panic that comes from
// reading a damaged file: bbolt panics on some, and a read past the end of a mapped
// file is a signal, SIGBUS. Any other panic is a bug in this program and goes on.
func catchDamage(path string, do func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if p := recover(); p != nil {
			if !isFromFile(p) {
				panic(p)
			}
			err = damagedFault(path, "a page in it cannot be read")
		}
	}()
	return do()
}

// isFromFile reports whether the panic p, just recovered, was a bad memory address
// (package runtime/debug, SetPanicOnFault) or came from bbolt.
func isFromFile(p any) bool {
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
