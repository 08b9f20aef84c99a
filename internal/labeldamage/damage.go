// Package labeldamage measures how well labels scan that are wet, creased, splashed or badly
// photographed. It only draws the pictures. Its test reads them with the phone app's own
// reader and prints the rates. Start with DamageKinds, then DamageKind.Draw.
//
// How a picture is made. A code is on a paper tag, with its quiet zone of four modules
// and print beside it. Dye and creases are drawn onto the paper, in modules. A camera
// then looks at the tag on a dark, wet bag: the code is anywhere in the picture, turned by
// up to 8°, tilted by up to 10°, at 3 to 5 pixels per module, in slightly uneven light,
// through a slightly soft lens, with sensor noise. All this is in every picture, and each
// kind of damage is added to it. Reflectances and lights are linear, and are converted to
// sRGB at the end.
//
// A splash is one blob with a random outline at a random position. Its share is of the
// symbol's area, with the finders and without the quiet zone. Only the part of a blob on
// the symbol counts towards the share. Half of the splashes are opaque, of any colour;
// half are dyes in one of three strengths. A finder counts as spared when the blob touches
// neither it nor the light line around it.
//
// Everything depends on Seed alone: the same seed gives the same pictures. No picture was
// chosen or left out for how it reads. Each picture is read in three ways, as the live
// scanner reads three frames (static/scan/qr-decode.js). A phone has a new frame for each
// and does better. Codes that are compared get damage from the same random numbers, and
// modules of the same size.
//
// Not in the pictures: the dots of a real printer and ink that ran, torn or loose paper,
// several kinds of damage at once, a whole label in shade, the camera's exposure,
// sharpening and JPEG, and frames larger than the code with other codes in them.
package labeldamage

import (
	"hash/fnv"
	"math/rand/v2"

	"coldbatch/internal/sheet"
	"github.com/skip2/go-qrcode"
)

// Seed seeds the random numbers of every picture.
const Seed = 20_260_508

// DamageKind is one way in which a label is hard to read.
type DamageKind struct {
	Name string
	// The splashed share of the symbol's area is between SplashFrom and SplashTo; 0 without a splash.
	SplashFrom, SplashTo float64
	SparesFinders        bool    // the splash touches no finder
	TwoCopies            bool    // the label has two copies of the code, each with damage of its own
	MinReadPercent       float64 // the least share of labels of eight colours that must be read, in per cent

	addDamage func(*scene, *rand.Rand)
}

// DamageKinds are all kinds, in the order in which they are printed.
var DamageKinds = []DamageKind{
	{Name: "3 to 5 px a module", MinReadPercent: 99},
	{Name: "rotation", MinReadPercent: 98, addDamage: rotateLabel},
	{Name: "curve of a bag", MinReadPercent: 75, addDamage: bendAroundBag},
	{Name: "crease", MinReadPercent: 78, addDamage: drawCreases},
	{Name: "blur", MinReadPercent: 85, addDamage: blurPicture},
	{Name: "glare", MinReadPercent: 88, addDamage: drawGlare},
	{Name: "gradient light", MinReadPercent: 98, addDamage: shadePicture},
	{Name: "wet contrast", MinReadPercent: 97, addDamage: drawWetFilm},
	{Name: "splash up to 8 %, finders spared", SplashFrom: 0.02, SplashTo: 0.08, SparesFinders: true, MinReadPercent: 98},
	{Name: "splash 8 to 12 %, finders spared", SplashFrom: 0.08, SplashTo: 0.12, SparesFinders: true, MinReadPercent: 95},
	{Name: "splash up to 12 %, anywhere", SplashFrom: 0.02, SplashTo: 0.12, MinReadPercent: 85},
	{Name: "splash up to 12 %, anywhere, two codes", SplashFrom: 0.02, SplashTo: 0.12, TwoCopies: true, MinReadPercent: 97},
}

// Draw returns picture number i of kind k, of a label with code. Codes of different sizes
// get the same damage.
func (k DamageKind) Draw(code sheet.Matrix, i int) *Picture {
	name := fnv.New64a()
	name.Write([]byte(k.Name))
	r := rand.New(rand.NewPCG(Seed+uint64(i), name.Sum64()))
	s := newScene(printLabel(code, k.TwoCopies, rand.New(rand.NewPCG(Seed, uint64(i)))), r)
	if k.addDamage != nil {
		k.addDamage(s, r)
	}
	if k.SplashTo > 0 {
		for n, at := range s.label.codes { // a generator of its own: how many numbers it draws depends on the code
			s.label.splash(at, k, rand.New(rand.NewPCG(Seed+uint64(i), name.Sum64()+1+uint64(n))))
		}
	}
	return s.takePicture(r)
}

// EncodeAt returns the code of text in the smallest version that holds it at a level, to compare
// it with that of sheet.QR. A text that is too long is the encoder's error.
func EncodeAt(level qrcode.RecoveryLevel, text string) (sheet.Matrix, error) {
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
