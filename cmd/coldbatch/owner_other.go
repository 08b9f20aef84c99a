//go:build !unix

package main

import "io/fs"

// isOwnAndPrivate is true on Windows, where each user has a folder of their own for
// temporary files.
func isOwnAndPrivate(fs.FileInfo) bool { return true }
