package batchview

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"coldbatch/internal/alkali"
	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/provenance"
	"coldbatch/internal/sheet"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// The cautions that labels have room for. The safety data sheet of the product and local
// rules come first.
var (
	cautionBag = provenance.Caution{Code: "label-bag", Text: "Gloves on. Rinse before the machine.",
		Source: "common practice"}
	cautionDye = provenance.Caution{Code: "label-dye", Text: "In the eye: rinse at once with water for 15 minutes, get medical help. Not in food containers.",
		Source: "National Society for Education in Art and Design (UK), dyes, for food; minutes of rinsing: common practice"}
	cautionActivatedDye = provenance.Caution{Code: "label-open-dye", Text: "Soda ash is in it: never cap it tight. In the eye: rinse at once with water for 15 minutes, get medical help.",
		Source: "OECD SIDS, sodium carbonate, 2002, for eyes; otherwise common practice"}
	cautionSoda = provenance.Caution{Code: "label-soda", Text: "Harms eyes: goggles and gloves. In the eye: rinse at once with water for 15 minutes, get medical help.",
		Source: "CLP Regulation (EC) 1272/2008, Annex VI, sodium carbonate: H319, from memory; OECD SIDS, sodium carbonate, 2002; minutes of rinsing: common practice"}
)

// notADrink is printed on the label of everything that holds liquid.
const notADrink = "Not a drink"

func noLabel(numbers string) error {
	return fault.New(fault.Conflict, "no label can be made for bag %s", numbers).
		WithHint("check when it was closed, update this program, and let the phone that closed it sync with it")
}

// BagLabel returns the label of a bag as it would be printed now. It returns code Conflict
// if no label can be made, for example of a bag that a newer app changed.
func BagLabel(s batch.State, id journal.ID, e ViewEnv) (sheet.LabelText, error) {
	b, ok := s.Bag(id)
	if !ok {
		return sheet.LabelText{}, fault.New(fault.NotFound, "there is no such bag in this batch")
	}
	v := viewBag(s, b, e)
	if v.Address == "" {
		return sheet.LabelText{}, noLabel(v.Number)
	}
	what, fold := bagContents(s, b)
	t := sheet.LabelText{Number: v.Number, Piece: capitalize(what), ClosedText: "closed " + v.PrintTimes.Closed, Fold: fold, Batch: s.Name,
		Caution: cautionBag.Text, TypedID: v.TypedID, Address: v.Address}
	for _, in := range b.Pieces {
		if p, known := s.Piece(in.Piece); known && harmedFibre(p) != "" {
			t.Caution = "Soda ash harms " + harmedFibre(p) + ": rinse it soon. " + cautionBag.Text
		}
	}
	switch {
	case v.Stage != "cure" || v.Verdict == string(cure.VerdictDry):
		t.TimeLead = v.Headline
	case v.PrintTimes.ReadyText == "":
		t.TimeLead = "keep wet: " + v.Headline
	case v.PrintTimes.WaitForSafe:
		t.TimeLead, t.Time, t.ShortTime, t.Condition = "keep wet and warm until", v.PrintTimes.SafeTime, shortenTime(v.PrintTimes.SafeTime), v.PrintTimes.Condition
	default:
		t.TimeLead, t.Time, t.ShortTime, t.Condition = "keep wet, ready about", v.PrintTimes.ReadyText, shortenTime(v.PrintTimes.ReadyText), v.PrintTimes.Condition
	}
	for _, c := range v.Colours {
		t.Colours = append(t.Colours, labelColour(s, c.ID, c.CapLetters, c.Name, c.RGB))
	}
	return t, nil
}

// labelColour returns a colour with the hatching that it has on all labels of the batch.
func labelColour(s batch.State, id journal.ID, caps, name, rgb string) sheet.Colour {
	hatch := 0
	for i, c := range s.Colours {
		if c.ID == id {
			hatch = i % sheet.HatchCount
		}
	}
	return sheet.Colour{CapLetters: caps, Word: name, RGB: rgb, Hatch: hatch}
}

// shortenTime shortens a dated time to its weekday: "Sat 2 May 20:25" is "SAT 20:25".
func shortenTime(dated string) string {
	f := strings.Fields(dated)
	if len(f) < 4 {
		return dated
	}
	return strings.ToUpper(f[0]) + " " + strings.Join(f[3:], " ")
}

// BottleLabel returns the label of the bottles of a colour: what is in them, how strong,
// since when, and whether soda ash is in them.
func BottleLabel(s batch.State, colour journal.ID, e ViewEnv) (sheet.LabelText, error) {
	c, ok := s.Colour(colour)
	if !ok {
		return sheet.LabelText{}, fault.New(fault.NotFound, "there is no such colour in this batch")
	}
	t := sheet.LabelText{Number: c.CapLetters, Time: e.formatStrength(c.Strength * c.Depth), Piece: capitalize(c.Name), ClosedText: "mixed", Fold: "no soda ash in it", Batch: s.Name,
		Colours: []sheet.Colour{labelColour(s, c.ID, c.CapLetters, c.Name, c.RGB)}, Warning: notADrink, Caution: cautionDye.Text}
	for i := len(s.Jugs) - 1; i >= 0; i-- {
		j := s.Jugs[i]
		if j.Colour != c.ID || j.IsDiscarded || j.NeedsNewerApp {
			continue
		}
		if j.VolumeML > 0 {
			t.Time = e.formatStrength(float64(unit.GramsPerLitre(unit.Mass(j.PowderGrams), unit.Volume(j.VolumeML))))
		}
		t.ClosedText += " " + e.formatDate(j.MixedAt)
		if off := jugOff(c, j); off != "" {
			t.Piece += ", " + off
		}
		if j.ActivatedAt != 0 {
			t.Fold, t.Caution = "soda ash in it since "+e.formatDate(j.ActivatedAt)+": use it within the hour", cautionActivatedDye.Text
		} else if j.SodaGrams > 0 {
			t.Fold, t.Caution = "soda ash in it: use it within the hour", cautionActivatedDye.Text
		}
		return t, nil
	}
	t.ClosedText, t.Lines = "", []string{"mixed"}
	return t, nil
}

// BucketLabel returns the label of the soak's bucket, as mixed or as planned.
func BucketLabel(s batch.State, e ViewEnv) sheet.LabelText {
	v := viewSoak(s, e)
	form, soda, water := alkali.Anhydrous, v.SodaG, v.WaterML
	t := sheet.LabelText{Number: "SODA", Piece: "Soda ash soak, " + e.formatMass(soda) + " in " + e.formatVolume(water), Batch: s.Name, Warning: notADrink, Caution: cautionSoda.Text}
	if in, used := bathInUse(s); used {
		t.ClosedText = "mixed " + e.formatDate(in.MixedAt)
		if in.Form != "" {
			form = alkali.Form(in.Form)
		}
	} else {
		t.Lines = []string{"mixed"}
	}
	t.Time = e.formatStrength(float64(unit.GramsPerLitre(form.AnhydrousIn(unit.Mass(soda)), unit.Volume(water))))
	return t
}

func (e ViewEnv) formatDate(i zone.Instant) string {
	return e.Zone.FormatClockWithDate(i, e.Style.Clock12)
}

// capitalize makes the first letter a capital.
func capitalize(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
