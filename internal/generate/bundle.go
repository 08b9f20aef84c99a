package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// sourceRoot is the folder in which developer tools show the modules of a bundle.
const sourceRoot = "/source/"

// bundleModules joins main.js and all modules that it imports into one script, so that a
// phone asks for one file and not for a hundred. It returns the files to write to dist, by
// name: the script, its source map, which is embedded in its compressed forms alone, and
// the list of the modules with their SHA-256, by which package web sees that one of them
// was edited since.
func bundleModules(static string) (map[string][]byte, error) {
	dir, err := filepath.Abs(static)
	if err != nil {
		return nil, err
	}
	vendored, err := readImportMap(filepath.Join(dir, "index.html"))
	if err != nil {
		return nil, err
	}
	built := api.Build(api.BuildOptions{
		AbsWorkingDir:     dir,
		EntryPoints:       []string{"main.js"},
		Outfile:           "main.js", // not written here: paths in the source map are relative to it
		AllowOverwrite:    true,
		Bundle:            true,
		Format:            api.FormatESModule,
		MinifyWhitespace:  true,
		MinifyIdentifiers: true,
		MinifySyntax:      true,
		Charset:           api.CharsetUTF8,
		Sourcemap:         api.SourceMapLinked,
		SourceRoot:        sourceRoot,
		Metafile:          true,
		Plugins:           []api.Plugin{resolveByMap(dir, vendored)},
	})
	if len(built.Errors)+len(built.Warnings) > 0 {
		lines := api.FormatMessages(append(built.Errors, built.Warnings...), api.FormatMessagesOptions{})
		return nil, errors.New("bundling the modules of the page: " + strings.Join(lines, ""))
	}
	files := map[string][]byte{}
	for _, f := range built.OutputFiles {
		switch filepath.Base(f.Path) {
		case "main.js":
			files["app/main.js"] = f.Contents
		case "main.js.map":
			files["app/_main.js.map"] = f.Contents
			files["app/main.js.map.sha256"] = hashAndSize(f.Contents)
		}
	}
	files["app.sums"], err = listSources(dir, built.Metafile)
	return files, err
}

// listSources writes the SHA-256 and the path of each module that esbuild's metafile names,
// a line each, as sha256sum does.
func listSources(dir, metafile string) ([]byte, error) {
	var meta struct{ Inputs map[string]any }
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return nil, err
	}
	var names []string
	for name := range meta.Inputs {
		names = append(names, name)
	}
	slices.Sort(names)
	var list bytes.Buffer
	for _, name := range names {
		body, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&list, "%s  %s\n", hashName(body), name)
	}
	return list.Bytes(), nil
}

// readImportMap returns the addresses that the page's import map gives to bare names.
func readImportMap(page string) (map[string]string, error) {
	html, err := os.ReadFile(page)
	if err != nil {
		return nil, err
	}
	_, rest, _ := bytes.Cut(html, []byte(`<script type="importmap">`))
	text, _, _ := bytes.Cut(rest, []byte("</script>"))
	var parsed struct{ Imports map[string]string }
	if err := json.Unmarshal(text, &parsed); err != nil {
		return nil, fmt.Errorf("the import map of %s: %w", page, err)
	}
	return parsed.Imports, nil
}

// resolveByMap finds modules with bare names as a browser does, by the import map.
func resolveByMap(dir string, vendored map[string]string) api.Plugin {
	return api.Plugin{Name: "import map", Setup: func(build api.PluginBuild) {
		build.OnResolve(api.OnResolveOptions{Filter: `^[^./]`}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
			if a.Kind == api.ResolveEntryPoint {
				return api.OnResolveResult{}, nil
			}
			address, ok := vendored[a.Path]
			if !ok {
				return api.OnResolveResult{}, fmt.Errorf("%q is not in the import map of index.html", a.Path)
			}
			return api.OnResolveResult{Path: filepath.Join(dir, filepath.FromSlash(address))}, nil
		})
	}}
}
