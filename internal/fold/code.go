package fold

import (
	"encoding/base64"
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
)

// The code of a design is a line of text in the letters that an address may hold, short
// enough for a QR code. It is base64url of fields with fieldSign between them.
const (
	codeVersion = "1"
	fieldSign   = "\n"
	partSign    = "\t"
	longestCode = 2000
)

// Encode returns the code of a design, which must pass Check.
func (d *Design) Encode() string {
	number := func(v, step float64) string { return strconv.FormatFloat(math.Round(v/step), 'f', -1, 64) }
	var colours []string
	for _, c := range d.Colours {
		colours = append(colours, strings.Join([]string{c.Name, c.RGB, c.Dye, number(c.Percent, 0.01)}, partSign))
	}
	bound := ""
	if d.Bound {
		bound = "b"
	}
	fields := append([]string{codeVersion, d.Name, d.Garment, string(d.Fold.Kind), number(d.Fold.Center.X, 0.001), number(d.Fold.Center.Y, 0.001),
		number(d.Fold.Turns, 0.01), strconv.Itoa(d.Fold.Pleats), strconv.FormatUint(uint64(d.Fold.Seed), 10), d.Shape,
		number(d.Dye, 0.01), number(d.Creases, 0.01), bound, letters(d.A), letters(d.B)}, colours...)
	return base64.RawURLEncoding.EncodeToString([]byte(strings.Join(fields, fieldSign)))
}

// letters writes the colours of sections: a letter each, "-" for none.
func letters(list []int) string {
	var b strings.Builder
	for _, k := range list {
		b.WriteByte("-abcdefgh"[k+1])
	}
	return b.String()
}

// Decode reads the code of a design. Anything else is a *fault.Fault of code Input.
func Decode(code string) (*Design, error) {
	unreadable := fault.New(fault.Input, "this is not the code of a design").WithHint("scan it again, or send it as a file")
	if len(code) > longestCode {
		return nil, unreadable
	}
	text, err := base64.RawURLEncoding.DecodeString(strings.TrimSpace(code))
	f := strings.Split(string(text), fieldSign)
	if err != nil || len(f) < 16 {
		return nil, unreadable
	}
	if f[0] != codeVersion {
		return nil, fault.New(fault.Input, "this design was made by a newer version of the app").WithHint("update the app")
	}
	number := func(s string, step float64) float64 {
		v, bad := strconv.ParseFloat(s, 64)
		if bad != nil {
			err = unreadable
		}
		return v / math.Round(1/step) // as a decimal is read
	}
	d := &Design{Name: f[1], Garment: f[2], Shape: f[9], Dye: number(f[10], 0.01), Creases: number(f[11], 0.01), Bound: f[12] == "b",
		Fold: Fold{Kind: Kind(f[3]), Center: Point{number(f[4], 0.001), number(f[5], 0.001)}, Turns: number(f[6], 0.01),
			Pleats: int(number(f[7], 1)), Seed: uint32(number(f[8], 1))}}
	sections := func(s string) []int {
		list := []int{} // in JSON a list, also where it is empty
		for _, r := range s {
			list = append(list, strings.IndexRune("-abcdefgh", r)-1)
		}
		return list
	}
	d.A, d.B = sections(f[13]), sections(f[14])
	for _, line := range f[15:] {
		p := strings.Split(line, partSign)
		if len(p) != 4 {
			return nil, unreadable
		}
		d.Colours = append(d.Colours, DesignColour{p[0], p[1], p[2], number(p[3], 0.01)})
	}
	if err != nil {
		return nil, err
	}
	return d, d.Check()
}
