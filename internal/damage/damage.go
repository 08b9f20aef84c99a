// Package damage measures how well labels scan that got wet, creased, splashed or
// badly photographed. It draws such pictures itself and reads nothing: its test has
// them read by the reader that the phone app carries, and prints the rates. Start
// with Kinds, then Kind.Draw.
//
// How a picture comes about. A code stands on a paper tag, with its quiet zone of
// four modules and print beside it; what lies on the paper (dye, a crease) is laid
// on there, in modules. A camera then looks at the tag on a dark, wet bag: at any
// place, turned by up to 8°, tilted by up to 10°, at 3 to 5 pixels a module, in
// light that is not quite even, through a lens that is not quite sharp, with the
// noise of a sensor. That much is in every picture; each kind of damage comes on
// top of it. Reflectances and lights are linear, and become sRGB at the end.
//
// A splash is one blob with a random outline, at a random place. Its share is that
// of the symbol's own area, finders counted, quiet zone not, and is measured on the
// symbol: a blob that hangs over the edge is as much larger. Half are opaque, of
// any colour; half are dyes, of three strengths. A finder counts as spared when
// the blob touches neither it nor the light line around it.
//
// All of it follows from Seed: the same number gives the same picture. Nothing was
// chosen by whether it reads. A picture is looked at as the live scanner looks at
// three frames, each in its way (static/scan/qr-decode.js), that all show the very same; a
// phone, which sees a new frame every time, does better. Codes that are compared get
// damage drawn from the same numbers, and modules of the same size.
//
// What is not in the pictures: the dots of a real printer and ink that ran, paper
// that is torn or has come loose, several kinds of damage at once, a whole label in
// shade and the camera's way of setting its exposure, its sharpening and its JPEG,
// and frames larger than the code, with other codes in them.
package damage

import (
	"hash/fnv"
	"math/rand/v2"

	"coldbatch/internal/sheet"
	"github.com/skip2/go-qrcode"
)

// Seed is what every picture is drawn from.
const Seed = 20_260_508

// Kind is one way in which a label is hard to read.
type Kind struct {
	Name string
	// Share of the symbol's area that is splashed, from and to.
	From, To      float64
	SparesFinders bool    // a splash leaves the finders alone
	Two           bool    // the label has two copies of the code, each damaged for itself
	Floor         float64 // what must be read of a label of eight colours, in percent

	harm func(*scene, *rand.Rand)
}

// Kinds are all kinds, in the order in which they are told.
var Kinds = []Kind{
	{Name: "3 to 5 px a module", Floor: 99},
	{Name: "rotation", Floor: 98, harm: turned},
	{Name: "curve of a bag", Floor: 75, harm: bendAroundBag},
	{Name: "crease", Floor: 78, harm: addCreases},
	{Name: "blur", Floor: 85, harm: addBlur},
	{Name: "glare", Floor: 88, harm: addGlare},
	{Name: "gradient light", Floor: 98, harm: addShade},
	{Name: "wet contrast", Floor: 97, harm: addWetFilm},
	{Name: "splash to 8 %, finders spared", From: 0.02, To: 0.08, SparesFinders: true, Floor: 98},
	{Name: "splash 8 to 12 %, finders spared", From: 0.08, To: 0.12, SparesFinders: true, Floor: 95},
	{Name: "splash to 12 %, anywhere", From: 0.02, To: 0.12, Floor: 85},
	{Name: "splash to 12 %, anywhere, two codes", From: 0.02, To: 0.12, Two: true, Floor: 97},
}

// Draw gives picture number i of kind k, showing code. Codes of different sizes
// get the same damage.
func (k Kind) Draw(code sheet.Matrix, i int) *Picture {
	name := fnv.New64a()
	name.Write([]byte(k.Name))
	r := rand.New(rand.NewPCG(Seed+uint64(i), name.Sum64()))
	s := newScene(printTag(code, k.Two, rand.New(rand.NewPCG(Seed, uint64(i)))), r)
	if k.harm != nil {
		k.harm(s, r)
	}
	if k.To > 0 {
		for n, at := range s.tag.codes { // numbers of its own: how many it draws depends on the code
			s.tag.splash(at, k, rand.New(rand.NewPCG(Seed+uint64(i), name.Sum64()+1+uint64(n))))
		}
	}
	return s.takePicture(r)
}

// At gives the code of text in the smallest version that holds it at a level, to
// compare with what sheet.QR makes of it. A text too long is the encoder's error.
func At(level qrcode.RecoveryLevel, text string) (sheet.Matrix, error) {
	code, err := qrcode.New(text, level)
	if err != nil {
		return sheet.Matrix{}, err
	}
	code.DisableBorder = true
	m := sheet.Matrix{Level: string("LMQH"[level]), Version: code.VersionNumber}
	for _, line := range code.Bitmap() {
		row := make([]byte, len(line))
		for x, dark := range line {
			row[x] = '0'
			if dark {
				row[x] = '1'
			}
		}
		m.Rows = append(m.Rows, string(row))
	}
	m.Size = len(m.Rows)
	return m, nil
}
