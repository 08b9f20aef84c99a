package web

import (
	"encoding/hex"
	"io/fs"
	"strings"

	"coldbatch/internal/fault"
)

// `go generate` joins the page's modules into one script, a bundle, so that a phone asks
// for one file and not for a hundred. bundlePrefix is the folder of the bundle and its
// source map; each has the name under which it is served. bundleSources lists the modules
// that are in it, each with its SHA-256, as sha256sum does.
const (
	bundlePrefix  = "dist/app/"
	bundleSources = "dist/app.sums"
)

// placeBundles puts the bundles in the place of the modules that are in them, so that no
// module runs twice; unbundled, it removes the bundles. It refuses a bundle of which a
// module was edited since, so that an old version is never sent.
func (a *assets) placeBundles(files fs.FS, unbundled bool) error {
	bundles := map[string]*asset{}
	for name, f := range a.byName {
		if served, ok := strings.CutPrefix(name, bundlePrefix); ok {
			f.name = served
			bundles[served] = f
			delete(a.byName, name)
		}
	}
	if unbundled {
		return nil
	}
	list, err := fs.ReadFile(files, bundleSources)
	if err != nil {
		return err
	}
	for line := range strings.Lines(string(list)) {
		sum, name, _ := strings.Cut(strings.TrimSpace(line), "  ")
		if f := a.byName[name]; f == nil || hex.EncodeToString(f.sum[:]) != sum {
			return fault.New(fault.Unavailable, "static/%s was changed after the phone app was bundled", name).
				WithHint("run `go generate ./...`, then build again; or start the program with --dev, which serves the modules as they are")
		}
		delete(a.byName, name)
	}
	for name, f := range bundles {
		a.byName[name] = f
	}
	return nil
}
