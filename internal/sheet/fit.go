package sheet

import (
	"math"

	"coldbatch/internal/fault"
	"github.com/skip2/go-qrcode"
)

// MinModule is the least side of a module on a label, in mm: a phone then reads the
// code from a hand's length, and a crease or a splash takes few modules.
const MinModule = 0.45

// mmPerInch is exact (international yard and pound agreement of 1959).
const mmPerInch = 25.4

// levels are the levels of error correction, the strongest first.
var levels = [...]struct {
	name  string
	level qrcode.RecoveryLevel
}{{"H", qrcode.Highest}, {"Q", qrcode.High}, {"M", qrcode.Medium}, {"L", qrcode.Low}}

// fitCode makes the code of text for a square of side mm, quiet zone included: the
// strongest level whose modules are still whole dots of a printer of dpi and no
// smaller than Smallest, and the largest such modules. ok is false where even level
// L has no room.
func fitCode(text string, side float64, dpi int) (m Matrix, module float64, ok bool, err error) {
	dot := mmPerInch / float64(dpi)
	for _, l := range levels {
		code, err := newEncoder(text, l.level)
		if err != nil {
			return Matrix{}, 0, false, err
		}
		if code == nil {
			continue
		}
		modules := float64(17 + 4*code.VersionNumber + 2*QuietZone)
		module = math.Floor(side/dot/modules+1e-9) * dot
		if module >= MinModule {
			m, err := drawMatrix(code, l.name)
			return m, module, err == nil, err
		}
	}
	return Matrix{}, 0, false, nil
}

// newEncoder gives text as it will be encoded at a level, nil where no version has
// room for it.
func newEncoder(text string, level qrcode.RecoveryLevel) (code *qrcode.QRCode, err error) {
	defer recoverEncoder(text, &err)
	code, err = qrcode.New(text, level)
	if err != nil {
		return nil, nil
	}
	code.DisableBorder = true
	return code, nil
}

// drawMatrix draws code.
func drawMatrix(code *qrcode.QRCode, level string) (m Matrix, err error) {
	defer recoverEncoder(code.Content, &err)
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

// recoverEncoder makes a fault of a panic: the encoder panics where it finds itself wrong.
func recoverEncoder(text string, err *error) {
	if p := recover(); p != nil {
		*err = fault.New(fault.Internal, "the QR code of a text of %d characters cannot be made", len(text))
	}
}
