// Package sheet lays out what is printed: PrintJob.Pages lays out labels on a label paper,
// Page.SVG draws such a page, and QR makes one code as modules. It knows nothing of batches,
// has the widths of the fonts' characters but no font, and reads no code.
package sheet

import (
	"fmt"
	"strings"

	"coldbatch/internal/fault"
	"github.com/skip2/go-qrcode"
)

// QuietZone is the light margin that a QR code needs on every side, in modules
// (ISO/IEC 18004, from memory). It is part of the label, whatever the ground:
// who draws a Matrix draws it too.
const QuietZone = 4

// Matrix is a QR code as modules, without its quiet zone. Each row has Size
// characters, '1' dark and '0' light. Level is L, M, Q or H; Version is 1–40.
type Matrix struct {
	Size    int      `json:"size"`
	Rows    []string `json:"rows"`
	Level   string   `json:"level"`
	Version int      `json:"version"`
}

// QR makes the code of text: the smallest version that holds it at level Q, and
// level H where that needs no larger one, since a label gets wet and splashed.
// Only a text too long for Q in any version is encoded at M or L. QR returns code
// Input for an empty text or one too long for L, and code Internal if the encoder fails.
func QR(text string) (Matrix, error) {
	if text == "" {
		return Matrix{}, fault.New(fault.Input, "there is no text for a QR code")
	}
	at := func(i int) *qrcode.QRCode {
		code, _ := newEncoder(text, errorCorrectionLevels[i].level)
		return code
	}
	switch most, quarter := at(0), at(1); {
	case most != nil && quarter != nil && most.VersionNumber == quarter.VersionNumber:
		return drawMatrix(most, errorCorrectionLevels[0].name)
	case quarter != nil:
		return drawMatrix(quarter, errorCorrectionLevels[1].name)
	}
	for i := 2; i < len(errorCorrectionLevels); i++ {
		if code := at(i); code != nil {
			return drawMatrix(code, errorCorrectionLevels[i].name)
		}
	}
	return Matrix{}, fault.New(fault.Input, "a text of %d characters is too long for a QR code", len(text)).
		WithHint("up to 4296 capitals and digits, or 2953 bytes of anything else")
}

// SVG draws m with its quiet zone, one user unit to a module, dark on a white
// ground in every colour scheme. It has no style and no script, so a strict
// content security policy allows it; the page sets its size. Runs of
// dark modules are one path, so that no light seam shows between them.
func (m Matrix) SVG() string {
	side := m.Size + 2*QuietZone
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges" role="img" aria-label="QR code">`, side, side)
	fmt.Fprintf(&b, `<path fill="#fff" d="M0 0h%dv%dH0z"/><path fill="#000" d="`, side, side)
	m.writeDarkRuns(&b, QuietZone)
	b.WriteString(`"/></svg>`)
	return b.String()
}
