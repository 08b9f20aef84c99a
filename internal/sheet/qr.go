// Package sheet draws what is printed. Start with QR, which gives a code as
// modules, and Matrix.SVG, which draws one for a screen or a page. It knows
// nothing of batches and reads no code back.
package sheet

import (
	"fmt"
	"strings"

	"coldbatch/internal/fault"
	"github.com/skip2/go-qrcode"
)

// Quiet is the light margin that a QR code needs on every side, in modules
// (ISO/IEC 18004, from memory). It is part of the label, whatever the ground:
// who draws a Matrix draws it too.
const Quiet = 4

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
// Only a text too long for Q in any version goes down to M or L. No text, or
// one too long for L, gives code Input; a failing encoder code Internal.
func QR(text string) (m Matrix, err error) {
	if text == "" {
		return Matrix{}, fault.New(fault.Input, "there is no text to make a QR code of")
	}
	// The encoder panics where it finds itself wrong.
	defer func() {
		if p := recover(); p != nil {
			m, err = Matrix{}, fault.New(fault.Internal, "the QR code of a text of %d characters cannot be made", len(text))
		}
	}()
	code, level := choose(text)
	if code == nil {
		return Matrix{}, fault.New(fault.Input, "a text of %d characters is too long for a QR code", len(text)).
			WithHint("up to 4296 capitals and digits, or 2953 bytes of anything else")
	}
	code.DisableBorder = true
	dots := code.Bitmap()
	m = Matrix{Size: len(dots), Rows: make([]string, len(dots)), Level: level, Version: code.VersionNumber}
	row := make([]byte, len(dots))
	for y, line := range dots {
		for x, dark := range line {
			row[x] = '0'
			if dark {
				row[x] = '1'
			}
		}
		m.Rows[y] = string(row)
	}
	return m, nil
}

// choose gives text encoded at the level that QR states, nil where it does not
// fit. The encoder itself never raises a level to fill a version.
func choose(text string) (*qrcode.QRCode, string) {
	quarter, err := qrcode.New(text, qrcode.High)
	if err == nil {
		if most, err := qrcode.New(text, qrcode.Highest); err == nil && most.VersionNumber == quarter.VersionNumber {
			return most, "H"
		}
		return quarter, "Q"
	}
	if code, err := qrcode.New(text, qrcode.Medium); err == nil {
		return code, "M"
	}
	if code, err := qrcode.New(text, qrcode.Low); err == nil {
		return code, "L"
	}
	return nil, ""
}

// SVG draws m with its quiet zone, one user unit to a module, dark on a white
// ground in every colour scheme. It has no style and no script, so it stands
// under a strict content security policy; the page gives it its size. Runs of
// dark modules are one path, so that no light seam shows between them.
func (m Matrix) SVG() string {
	side := m.Size + 2*Quiet
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges" role="img" aria-label="QR code">`, side, side)
	fmt.Fprintf(&b, `<path fill="#fff" d="M0 0h%dv%dH0z"/><path fill="#000" d="`, side, side)
	for y, row := range m.Rows {
		for x := 0; x < len(row); x++ {
			if row[x] != '1' {
				continue
			}
			run := 1
			for x+run < len(row) && row[x+run] == '1' {
				run++
			}
			fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", x+Quiet, y+Quiet, run, run)
			x += run
		}
	}
	b.WriteString(`"/></svg>`)
	return b.String()
}
