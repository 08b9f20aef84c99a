package fold

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// Twelve designs to start from, each valid, each the same after its code was read, and
// each with a code short enough for a QR code that a phone reads from a screen.
func TestStartersAndCodes(t *testing.T) {
	names := map[string]bool{}
	for _, d := range Starters() {
		if err := d.Check(); err != nil || names[d.Name] {
			t.Errorf("%s: %v, twice %t", d.Name, err, names[d.Name])
		}
		names[d.Name] = true
		code := d.Encode()
		back, err := Decode(code)
		if err != nil {
			t.Errorf("%s: %v", d.Name, err)
			continue
		}
		if len(code) > 300 || back.Encode() != code {
			t.Errorf("%s: %d letters, read again %q", d.Name, len(code), back.Encode())
		}
		if d.B == nil || back.B == nil {
			t.Errorf("%s: the sections of side B are null in JSON", d.Name)
		}
		if !reflect.DeepEqual(*back, d) {
			t.Errorf("%+v was read as %+v", d, *back)
		}
		face, err := d.Face()
		if err != nil || len(face.Sections) != len(d.A) || face.Rope != (d.Fold.Kind == Rings) {
			t.Errorf("%s has the face %+v, %v", d.Name, face, err)
		}
		for i, s := range face.Sections {
			if !strings.HasPrefix(s.Path, "M") || !(s.X >= 0 && s.X <= face.Width && s.Y >= 0 && s.Y <= face.Height) {
				t.Errorf("%s: section %d is %+v on a face of %g × %g", d.Name, i+1, s, face.Width, face.Height)
			}
		}
	}
	if len(names) != 12 {
		t.Errorf("%d designs", len(names))
	}
}

// A code that is none is refused with a sentence, and so is a design that cannot be laid.
func TestRefusesCodes(t *testing.T) {
	good := Starters()[0]
	for _, code := range []string{"", "x", "????", good.Encode()[:20], good.Encode() + "AAAA", strings.Repeat("A", 3000)} {
		if _, err := Decode(code); !fault.Is(err, fault.Input) {
			t.Errorf("%q gave %v", code, err)
		}
	}
	for what, spoil := range map[string]func(d *Design){
		"no colour": func(d *Design) { d.Colours = nil }, "a colour that is not there": func(d *Design) { d.A = []int{0, 1, 5} },
		"other sections on side B": func(d *Design) { d.B = []int{0} }, "too much dye": func(d *Design) { d.Dye = 2.1 },
		"no dye at all": func(d *Design) { d.Dye = math.NaN() }, "a name of nothing": func(d *Design) { d.Name = " " },
		"a name that turns the text round": func(d *Design) { d.Name = "a\u202eb" }, "a garment of no shape": func(d *Design) { d.Garment = "socks" },
		"a shape of another fold": func(d *Design) { d.Shape = "frame" }, "a rope with two sides": func(d *Design) { d.Fold.Kind = Rings },
	} {
		d := good
		spoil(&d)
		if err := d.Check(); !fault.Is(err, fault.Input) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// FuzzDecode reads, writes and reads again.
func FuzzDecode(f *testing.F) {
	for _, d := range Starters() {
		f.Add(d.Encode())
	}
	f.Fuzz(func(t *testing.T, code string) {
		d, err := Decode(code)
		if err != nil {
			return
		}
		again, err := Decode(d.Encode())
		if err != nil || again.Encode() != d.Encode() {
			t.Fatalf("%q: %v", code, err)
		}
	})
}

// A piece that came out with more white than the model says leads to less reach in the next
// guess, as it was dyed; one result counts half, many nearly all, and of another fold none.
func TestResultsCorrect(t *testing.T) {
	d := Starters()[0]
	d.Dye = 0.8
	full, err := d.FullColours()
	if err != nil {
		t.Fatal(err)
	}
	m := mustMap(t, mustGarment(t, d.Garment), d.Fold, 128)
	dyeing := d.DyeApplication(full, 1)
	asModel, err := m.ApplyDye(dyeing)
	if err != nil {
		t.Fatal(err)
	}
	effect, err := m.Effect(dyeing, 0.25)
	if err != nil || !(effect < 0.95 && effect > 0.4) {
		t.Fatalf("a quarter white, %.2f by the model, gives %g, %v", asModel.WhiteShare(), effect, err)
	}
	corrected, err := m.ApplyDye(dyeing.Corrected(effect))
	if err != nil || math.Abs(corrected.WhiteShare()-0.25) > 0.02 {
		t.Errorf("corrected by it the model sees %.3f white, %v", corrected.WhiteShare(), err)
	}
	laid := func(c *DyedCloth) (ml float64) {
		for _, s := range c.Steps {
			ml += s.ML
		}
		return ml
	}
	if math.Abs(laid(corrected)-laid(asModel)) > 1e-6*laid(asModel) {
		t.Errorf("a result changed the dye that is laid: %.2f mL, %.2f before", laid(corrected), laid(asModel))
	}
	one := []ObservedResult{{Spiral, 0.25, effect}}
	if got, n := EffectFromResults(Spiral, one); n != 1 || math.Abs(got-math.Sqrt(effect)) > 1e-9 {
		t.Errorf("one result of %g corrects by %g, counted %d", effect, got, n)
	}
	many := []ObservedResult{}
	for range 20 {
		many = append(many, one[0])
	}
	if got, n := EffectFromResults(Spiral, many); n != 20 || math.Abs(got-effect) > 0.03 {
		t.Errorf("twenty results of %g correct by %g, counted %d", effect, got, n)
	}
	if got, n := EffectFromResults(Rings, many); n != 0 || got != 1 {
		t.Errorf("results of a spiral correct rings by %g, counted %d", got, n)
	}
}
