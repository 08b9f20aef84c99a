package main

import (
	"io"
	"os"
	"strings"

	"coldbatch/internal/sheet"
)

// quietZone is the white margin of a code, in modules; ISO/IEC 18004 requires four.
const quietZone = 4

// printQR prints text as a QR code of half blocks, two rows of modules per line. On a
// terminal it is black on white, whatever the terminal's colours; elsewhere, as in a log,
// a dark module is a block character. A text too long for a code is an error.
func printQR(w io.Writer, text string) error {
	m, err := sheet.QR(text)
	if err != nil {
		return err
	}
	before, after := "", ""
	if isTerminal(w) {
		before, after = "\x1b[30;107m", "\x1b[0m"
	}
	dark := func(x, y int) bool {
		x, y = x-quietZone, y-quietZone
		return y >= 0 && y < len(m.Rows) && x >= 0 && x < len(m.Rows[y]) && m.Rows[y][x] == '1'
	}
	side := m.Size + 2*quietZone
	var b strings.Builder
	for y := 0; y < side; y += 2 {
		b.WriteString("  " + before)
		for x := range side {
			switch top, low := dark(x, y), dark(x, y+1); {
			case top && low:
				b.WriteRune('█')
			case top:
				b.WriteRune('▀')
			case low:
				b.WriteRune('▄')
			default:
				b.WriteByte(' ')
			}
		}
		b.WriteString(after + "\n")
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// isTerminal reports whether w is a terminal.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
