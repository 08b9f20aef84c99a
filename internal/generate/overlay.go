package main

import (
	"encoding/json"
	"os"
	"path/filepath"
)

// pngReplacement replaces image/png in the phone's core only. The library that encodes QR codes
// can also write them as PNG, which the phone never needs; without this file the PNG
// writer and its compression would add 45 kB to the compressed core.
const pngReplacement = `package png

import (
	"errors"
	"image"
	"io"
)

type CompressionLevel int

const BestCompression CompressionLevel = -3

type Encoder struct{ CompressionLevel CompressionLevel }

func (*Encoder) Encode(w io.Writer, m image.Image) error { return Encode(w, m) }

func Encode(io.Writer, image.Image) error { return errors.New("png: not in the phone's core") }
`

// writeOverlay writes an overlay file for the go command into dir and returns its path.
func writeOverlay(dir string) (string, error) {
	root, err := goRoot()
	if err != nil {
		return "", err
	}
	png := filepath.Join(root, "src", "image", "png")
	stub := filepath.Join(dir, "png.go")
	if err := os.WriteFile(stub, []byte(pngReplacement), 0o644); err != nil {
		return "", err
	}
	replace := map[string]string{filepath.Join(png, "writer.go"): stub, filepath.Join(png, "reader.go"): "", filepath.Join(png, "paeth.go"): ""}
	body, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return "", err
	}
	overlay := filepath.Join(dir, "overlay.json")
	return overlay, os.WriteFile(overlay, body, 0o644)
}
