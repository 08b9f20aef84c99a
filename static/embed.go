// Package static holds the phone app as it runs: the files of this folder,
// embedded. What is generated lies in dist (the core as WebAssembly, its loader,
// and both compressed forms) and is not kept in version control. The package
// holds nothing but the embed; package web serves it.
package static

import "embed"

//go:generate go run ../internal/generate

// Files are the app's files. This Go file is among them and is not part of the app.
//
// The pattern takes in everything, so that no sort of file can be forgotten, but for
// names that begin with a dot or an underscore: dist/_core.wasm is 8 MB, and its
// compressed forms are there.
//
//go:embed *
var Files embed.FS
