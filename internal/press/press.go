// Package press puts the pages that package sheet lays out on paper and on screens:
// PDF for a printer, PNG where a label printer wants dots. It decides nothing about
// what stands where.
package press

import (
	"embed"

	"coldbatch/internal/sheet"
)

//go:embed font/*.ttf
var fonts embed.FS

// fontFile gives the file of a face.
func fontFile(face int, bold bool) ([]byte, error) {
	name := "font/" + sheet.FontFaces[face] + "-regular.ttf"
	if bold {
		name = "font/" + sheet.FontFaces[face] + "-bold.ttf"
	}
	return fonts.ReadFile(name)
}
