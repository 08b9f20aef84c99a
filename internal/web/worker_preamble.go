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

// workerPreamble returns what is served before the service worker's own code: the files
// to store on the phone, each with its hash in the form that fetch takes, and a version
// made from all of them. The program makes it at its start from the embedded files, so
// that the list is complete and each hash is right:
//
//	const VERSION = "…";
//	const ASSETS = {"/": "sha256-…", "/main.js": "sha256-…"};
//	const SECOND = {"/vendor/…": "sha256-…"};
//
// The page is listed as "/". The worker itself, and texts that nobody opens offline
// (licences), are not listed but count for the version. The worker fetches SECOND after
// the app is complete; the app works without it.
func (a *assets) workerPreamble() []byte {
	version := sha256.New()
	kept, late := map[string]string{}, map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(a.byName)) {
		f := a.byName[name]
		fmt.Fprintf(version, "%s %x\n", name, f.sum)
		switch ext := path.Ext(name); {
		case name == "index.html":
			kept["/"] = f.integrity()
		case name == "sw.js" || ext == ".txt" || ext == ".md" || ext == "":
		case strings.HasPrefix(name, secondPrefix):
			late["/"+name] = f.integrity()
		default:
			kept["/"+name] = f.integrity()
		}
	}
	return fmt.Appendf(nil, "const VERSION = %q;\nconst ASSETS = %s;\nconst SECOND = %s;\n",
		hex.EncodeToString(version.Sum(nil)[:8]), toJSObject(kept), toJSObject(late))
}

// secondPrefix is the beginning of the paths in SECOND: the reader of codes, a third of
// the size of all others together.
const secondPrefix = "vendor/zxing-wasm@"

// toJSObject writes names and hashes as a JavaScript object. Strings always encode.
func toJSObject(m map[string]string) []byte {
	b, _ := json.Marshal(m)
	return b
}
