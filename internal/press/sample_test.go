package press

import (
	"fmt"
	"testing"

	"coldbatch/internal/label"
	"coldbatch/internal/sheet"
	"coldbatch/internal/zone"
)

var sampleColours = []sheet.Colour{{CapLetters: "RU", Word: "rust", RGB: "#B5372A"}, {CapLetters: "YE", Word: "deep yellow", RGB: "#E9A21B", Hatch: 1},
	{CapLetters: "BG", Word: "blue-green", RGB: "#17606B", Hatch: 2}, {CapLetters: "PL", Word: "plum", RGB: "#6B3F8C", Hatch: 3},
	{CapLetters: "LF", Word: "leaf green", RGB: "#3D6B35", Hatch: 4}, {CapLetters: "RS", Word: "rose", RGB: "#C7446B", Hatch: 5},
	{CapLetters: "NA", Word: "navy", RGB: "#1B2A4A", Hatch: 6}, {CapLetters: "SA", Word: "sand", RGB: "#D9C79A", Hatch: 7}}

const careCaution = "Gloves on. Rinse before the machine."

// sampleBagText is an invented bag with n colours, its code as the label's own package
// writes it.
func sampleBagText(t testing.TB, number, n int) sheet.LabelText {
	t.Helper()
	closed := zone.Instant(1_777_644_600_000)
	l := label.Label{Number: number, Token: label.MakeToken([]byte("invented"), fmt.Append(nil, number)), ClosedAt: closed, OffsetSeconds: 3600,
		ReadyAt: closed.Add(28 * zone.Hour), EarliestReady: closed.Add(24 * zone.Hour), LatestReady: closed.Add(34 * zone.Hour), Celsius: 18, ClassCode: label.ClassDichlorotriazine, PieceCode: 3, FoldCode: 1}
	for i := range n {
		l.Colours = append(l.Colours, label.Colour{CapLetters: sampleColours[i].CapLetters, RGB: [3]uint8{uint8(40 * number), 119, uint8(30 * i)}, ShareSixteenths: 2})
	}
	return sheet.LabelText{Number: fmt.Sprint(number), TimeLead: "keep wet, ready about", Time: "Sat 2 May 20:25", ShortTime: "SAT 20:25", Condition: "if it stays near 18 °C", Piece: "Pillowcase",
		Colours: sampleColours[:n], ClosedText: "closed Fri 1 May 16:10", Fold: "spiral", Batch: "spring market", Caution: careCaution, TypedID: l.Token.ID(), Address: labelAddress(t, l)}
}

func labelAddress(t testing.TB, l label.Label) string {
	t.Helper()
	code, err := label.Encode(l)
	if err != nil {
		t.Fatal(err)
	}
	return label.Address("coldbatch.local:8443", code)
}

// otherLabels are the labels that are no bag's: a numbered blank, a piece's own tag, a
// bottle and a bucket.
func otherLabels(t testing.TB) []sheet.LabelText {
	l := label.Label{Number: 40, IsBlank: true, Token: label.MakeToken([]byte("invented"), []byte("blank"))}
	const eyes = "Eyes: rinse at once with plenty of water for 15 minutes and see a doctor."
	return []sheet.LabelText{
		{Number: "40", Lines: []string{"ready about", "piece", "colours", "closed", "place"}, Caution: careCaution, TypedID: l.Token.ID(), Address: labelAddress(t, l)},
		{Number: "12", Time: l.Token.ID(), Piece: "Pillowcase", Batch: "spring market", Address: labelAddress(t, l)},
		{Number: "BG", Time: "26.2 g/L", Piece: "Blue-green", Colours: sampleColours[2:3], ClosedText: "mixed Fri 1 May 10:20", Fold: "no soda ash in it", Batch: "spring market", Warning: "Not a drink", Caution: eyes},
		{Number: "SODA", Time: "20 g/L", Piece: "Soda ash soak", ClosedText: "mixed Fri 1 May 10:20", Batch: "spring market", Warning: "Not a drink", Caution: eyes},
	}
}

// allSampleLabels is a sheetful of all kinds, with names beyond ASCII.
func allSampleLabels(t testing.TB) []sheet.LabelText {
	tags := []sheet.LabelText{sampleBagText(t, 12, 3), sampleBagText(t, 9, 2), sampleBagText(t, 28, 8), sampleBagText(t, 128, 1)}
	tags[1].Piece, tags[1].Batch = "Μαξιλαροθήκη", "ярмарка весной"
	tags[2].Number += "H"
	tags[3].Piece, tags[3].Batch = "Poszewka na poduszkę", "łódź žluťoučký"
	return append(tags, otherLabels(t)...)
}

// testedPapers are the presets and two sizes of one's own.
func testedPapers(t testing.TB) []sheet.LabelPaper {
	list := sheet.LabelPapers()
	for _, size := range []string{"62x29", "100x150"} {
		s, err := sheet.FindPaper(size)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, s)
	}
	return list
}
