//go:build unix

package main

import (
	"io/fs"
	"os"
	"syscall"
)

// isOwnAndPrivate reports whether a file belongs to this user and no one else can open it.
func isOwnAndPrivate(info fs.FileInfo) bool {
	s, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(s.Uid) == os.Geteuid() && info.Mode().Perm()&0o077 == 0
}
