// Package static holds the phone app as it runs: the files of this folder,
// embedded. What is generated lies in dist (the core as WebAssembly, its loader,
// and both compressed forms) and is not kept in version control. The package
// holds nothing but the embed; package web serves it.
package static

import "embed"

//go:generate go run ../internal/generate

// Files are the app's files. This Go file, and names that begin with a dot, are
// among them and are not part of the app.
//
// The pattern takes in everything, so that no sort of file can be forgotten.
//
//go:embed all:*
var Files embed.FS
