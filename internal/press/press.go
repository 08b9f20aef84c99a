// Package press renders the pages that package sheet lays out: as PDF for a printer, and
// as PNG for a label printer that needs dots. It does not change the layout.
package press

import (
	"embed"

	"coldbatch/internal/sheet"
)

//go:embed font/*.ttf
var fonts embed.FS

// fontFile returns the font file of a face of sheet.FontFaces.
func fontFile(face int, bold bool) ([]byte, error) {
	name := "font/" + sheet.FontFaces[face] + "-regular.ttf"
	if bold {
		name = "font/" + sheet.FontFaces[face] + "-bold.ttf"
	}
	return fonts.ReadFile(name)
}
