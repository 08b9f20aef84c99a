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
//	const GROUPS = {"scanner": {"/vendor/…": "sha256-…"}};
//
// The page is listed as "/". The worker itself, and what nobody opens offline (licences,
// source maps), are not listed but count for the version. The worker fetches a group
// of files by its name, once the app is complete; the app works without it.
func (a *assets) workerPreamble() []byte {
	version := sha256.New()
	kept, groups := map[string]string{}, map[string]map[string]string{}
	for _, g := range lazyGroups {
		groups[g.name] = map[string]string{}
	}
	for _, name := range slices.Sorted(maps.Keys(a.byName)) {
		f := a.byName[name]
		fmt.Fprintf(version, "%s %x\n", name, f.sum)
		switch ext := path.Ext(name); {
		case name == "index.html":
			kept["/"] = f.integrity()
		case name == "sw.js" || ext == ".map" || ext == ".txt" || ext == ".md" || ext == "":
		case lazyGroup(name) != "":
			groups[lazyGroup(name)]["/"+name] = f.integrity()
		default:
			kept["/"+name] = f.integrity()
		}
	}
	return fmt.Appendf(nil, "const VERSION = %q;\nconst ASSETS = %s;\nconst GROUPS = %s;\n",
		hex.EncodeToString(version.Sum(nil)[:8]), toJSObject(kept), toJSObject(groups))
}

// lazyGroups are the groups of files that come after the app, when a page asks for them
// by name: each with the beginning of the paths of its files. The reader of codes has a
// third of the size of all other files together; the program that few screens need is as
// large as two thirds of them.
var lazyGroups = []struct{ name, prefix string }{
	{"scanner", "vendor/zxing-wasm@"},
	{"extra", "dist/extra.wasm"},
}

// lazyGroup names the group of a file, "" for one that belongs to the app.
func lazyGroup(name string) string {
	for _, g := range lazyGroups {
		if strings.HasPrefix(name, g.prefix) {
			return g.name
		}
	}
	return ""
}

// toJSObject writes names and hashes as a JavaScript object. Strings always encode.
func toJSObject(m any) []byte {
	b, _ := json.Marshal(m)
	return b
}
