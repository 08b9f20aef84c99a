package sheet

import (
	"math"

	"coldbatch/internal/fault"
	"github.com/skip2/go-qrcode"
)

// MinModule is the smallest side of a module on a label, in mm: a phone can then read the
// code at arm's length, and a crease or a splash damages few modules.
const MinModule = 0.45

// mmPerInch is exact (international yard and pound agreement of 1959).
const mmPerInch = 25.4

// errorCorrectionLevels are the levels of error correction, the strongest first.
var errorCorrectionLevels = [...]struct {
	name  string
	level qrcode.RecoveryLevel
}{{"H", qrcode.Highest}, {"Q", qrcode.High}, {"M", qrcode.Medium}, {"L", qrcode.Low}}

// fitCode makes the code of text for a square with sides of side mm, quiet zone included, at
// the strongest level whose modules are whole dots of a printer of dpi and at least
// MinModule, with the largest such modules. ok is false if even level L has no room.
func fitCode(text string, side float64, dpi int) (m Matrix, module float64, ok bool, err error) {
	dot := mmPerInch / float64(dpi)
	for _, l := range errorCorrectionLevels {
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

// newEncoder returns an encoder of text at a level, nil if no version has room for it.
func newEncoder(text string, level qrcode.RecoveryLevel) (code *qrcode.QRCode, err error) {
	defer recoverEncoder(text, &err)
	code, err = qrcode.New(text, level)
	if err != nil {
		return nil, nil
	}
	code.DisableBorder = true
	return code, nil
}

// drawMatrix returns the modules of code.
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

// recoverEncoder turns a panic of the encoder into a fault.
func recoverEncoder(text string, err *error) {
	if p := recover(); p != nil {
		*err = fault.New(fault.Internal, "a text of %d characters cannot be made into a QR code", len(text))
	}
}
