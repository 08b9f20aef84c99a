package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
)

// list is what stands before the service worker's own code: the files to keep on
// the phone, each with its hash as fetch takes it, and a version made from all of
// them. It is made when the program starts, from what is embedded, so that no
// file is forgotten and none is checked against a hash that is not its own:
//
//	const VERSION = "…";
//	const ASSETS = {"/": "sha256-…", "/main.js": "sha256-…"};
//	const SECOND = {"/vendor/…": "sha256-…"};
//
// The page goes by "/"; the worker itself and texts nobody opens offline
// (licences) are not in it, but count for the version. What is second is fetched
// when the app is whole and works without it.
func (a *assets) list() []byte {
	version := sha256.New()
	kept, late := map[string]string{}, map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(a.byName)) {
		f := a.byName[name]
		fmt.Fprintf(version, "%s %x\n", name, f.sum)
		switch ext := path.Ext(name); {
		case name == "index.html":
			kept["/"] = f.integrity()
		case name == "sw.js" || ext == ".txt" || ext == ".md" || ext == "":
		case strings.HasPrefix(name, second):
			late["/"+name] = f.integrity()
		default:
			kept["/"+name] = f.integrity()
		}
	}
	return fmt.Appendf(nil, "const VERSION = %q;\nconst ASSETS = %s;\nconst SECOND = %s;\n",
		hex.EncodeToString(version.Sum(nil)[:8]), object(kept), object(late))
}

// second is where the files begin that a phone gets after all others: the reader
// of codes, a third as heavy as the rest together.
const second = "vendor/zxing-wasm@"

// object writes names and hashes as JavaScript; nothing in them can fail.
func object(m map[string]string) []byte {
	b, _ := json.Marshal(m)
	return b
}
