package batchview

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// CheckDrafts returns a fault with code Unsure if something that is about to be recorded is likely a
// slip: the person is asked, and may record it all the same. A draft whose body does not read
// passes, since it will not be written.
func CheckDrafts(s batch.State, e ViewEnv, drafts []journal.Draft) error {
	var odd []*fault.Fault
	for _, d := range drafts {
		if d.At == 0 {
			d.At = e.Now
		}
		if check := draftChecks[d.Kind]; check != nil {
			if f := check(s, e, d); f != nil {
				odd = append(odd, f)
			}
		}
		if b := (journal.BagClosed{}); d.Kind == journal.KindBagClosed && json.Unmarshal(d.Body, &b) == nil {
			s.Bags = append(slices.Clone(s.Bags), batch.Bag{Pieces: b.Pieces}) // the next one counts it
		}
	}
	switch len(odd) {
	case 0:
		return nil
	case 1:
		return odd[0]
	}
	return newQuestion(odd[0].Sentence+"; there are "+countWords(len(odd)-1, "more question", "more questions")+" like this", odd[0].Hint)
}

var draftChecks = map[string]func(s batch.State, e ViewEnv, d journal.Draft) *fault.Fault{
	journal.KindBagClosed: withDraftBody(checkClosing),
	journal.KindBagOpened: withDraftBody(checkOpening),
	journal.KindSoakMixed: withDraftBody(checkSoda),
	journal.KindSoakBegun: withDraftBody(checkSoakPieces),
	journal.KindSoakEnded: withDraftBody(checkSoakTime),
	journal.KindJugMixed:  withDraftBody(checkPowder),
	journal.KindJugTopped: withDraftBody(checkTopUp),

	journal.KindBottleFilled: withDraftBody(checkFilling),
}

func withDraftBody[T any](check func(s batch.State, e ViewEnv, d journal.Draft, body T) *fault.Fault) func(batch.State, ViewEnv, journal.Draft) *fault.Fault {
	return func(s batch.State, e ViewEnv, d journal.Draft) *fault.Fault {
		var body T
		if json.Unmarshal(d.Body, &body) != nil {
			return nil
		}
		return check(s, e, d, body)
	}
}

// newQuestion asks the person about what is odd, and says why.
func newQuestion(sentence, why string) *fault.Fault {
	return fault.New(fault.Unsure, "%s", sentence).WithHint("%s", why)
}

// checkClosing asks about more pieces in bags than there are, and about cloth that soda ash harms.
func checkClosing(s batch.State, _ ViewEnv, _ journal.Draft, b journal.BagClosed) *fault.Fault {
	for _, in := range b.Pieces {
		p, known := s.Piece(in.Piece)
		if !known {
			continue
		}
		if sum := countBagged(s, p.ID) + in.Count; sum > p.Count {
			return newQuestion("that makes "+strconv.Itoa(sum)+" of "+pieceWords(p, p.Count)+" in bags",
				"perhaps this bag was recorded already; if there are more pieces than you listed, go on")
		}
		if fibre := harmedFibre(p); fibre != "" {
			return newQuestion(pieceWords(p, in.Count)+": this dye and its soda ash are not for "+fibre, harmsAnimal)
		}
	}
	return nil
}

// earlyLimit says how much too early a bag may be opened without a question (judgement).
const earlyLimit = 30 * zone.Minute

// checkOpening asks about a bag that is opened before its dye has bonded.
func checkOpening(s batch.State, e ViewEnv, d journal.Draft, _ journal.BagOpened) *fault.Fault {
	b, known := s.Bag(d.Subject)
	if !known || b.Stage() != "cure" || b.NeedsNewerApp || s.NeedsNewerApp {
		return nil
	}
	o, _, _ := bagOutlook(s, b, e, d.At)
	if o.Ready == 0 || d.At.Add(earlyLimit) >= o.Ready {
		return nil
	}
	return newQuestion("bag "+formatBagNumber(b.Number, b.Letter)+" is ready about "+e.formatTime(o.Ready)+", so this is "+o.Ready.Sub(d.At).Words()+" too early",
		"dye that has not bonded washes out; the piece comes out paler")
}

// sodaSlack says how far the soda ash may be off the rule without a question. It moves the pH by
// less than 0.1 (package alkali), but the bath must also serve all pieces.
const sodaSlack = 0.15

// checkSoda asks about soda ash that is far from what the water needs.
func checkSoda(_ batch.State, e ViewEnv, _ journal.Draft, b journal.SoakMixed) *fault.Fault {
	form := alkali.Anhydrous
	if b.Form != "" {
		form = alkali.Form(b.Form)
	}
	bath := soak.Bath{Volume: unit.Volume(b.WaterML), Strength: unit.Concentration(soak.UsualStrength.Value)}
	share := float64(form.AnhydrousIn(1))
	if share <= 0 || b.SodaGrams <= 0 || bath.Soda() <= 0 {
		return nil
	}
	wanted := float64(bath.Soda()) / share
	if math.Abs(b.SodaGrams/wanted-1) <= sodaSlack {
		return nil
	}
	return newQuestion(e.formatMass(b.SodaGrams)+" of soda ash, but "+e.formatMass(wanted)+" is what this water needs: "+offWords(b.SodaGrams/wanted),
		yesOrNo(b.SodaGrams < wanted, "a weak bath serves fewer pieces and leaves dye unbonded; add the rest", "more soda ash dissolves slowly and must be rinsed out; add water"))
}

// offWords says how far an amount is off: "20 % too little", "ten times too much".
func offWords(ratio float64) string {
	switch {
	case ratio >= 8 && ratio <= 12.5:
		return "ten times too much: look at the decimal point"
	case ratio >= 1/12.5 && ratio <= 1/8.0:
		return "a tenth of that: look at the decimal point"
	case ratio >= 2:
		return offTimes(ratio) + " as much"
	case ratio > 1:
		return formatPercent(ratio-1) + " too much"
	}
	return formatPercent(1-ratio) + " too little"
}

func offTimes(ratio float64) string {
	return strconv.FormatFloat(math.Round(ratio*10)/10, 'f', -1, 64) + " times"
}

// checkSoakPieces asks about pieces in the bath that soda ash harms.
func checkSoakPieces(s batch.State, _ ViewEnv, _ journal.Draft, b journal.SoakPieces) *fault.Fault {
	var names []string
	for _, p := range s.Pieces {
		if harmedFibre(p) != "" && (len(b.Pieces) == 0 || containsID(b.Pieces, p.ID)) {
			names = append(names, pieceWords(p, p.Count))
		}
	}
	if len(names) == 0 {
		return nil
	}
	return newQuestion(strings.Join(names, " and ")+" must not go into the soda ash", harmsAnimal)
}

// checkSoakTime asks about pieces that come out of the bath long before they are wet through.
func checkSoakTime(s batch.State, e ViewEnv, d journal.Draft, b journal.SoakPieces) *fault.Fault {
	bath, known := find(s.Soaks, func(x batch.Soak) bool { return x.ID == d.Subject })
	if !known {
		return nil
	}
	var last zone.Instant
	for _, l := range bath.LotsInBath() {
		isMeant := len(b.Pieces) == 0 || len(l.Pieces) == 0
		for _, id := range b.Pieces {
			isMeant = isMeant || containsID(l.Pieces, id)
		}
		if isMeant {
			last = max(last, l.InAt)
		}
	}
	in := d.At.Sub(last)
	if last == 0 || in >= zone.Span(soak.UsualTime.Value/2)*zone.Second {
		return nil
	}
	sentence := "they were in the soak for " + in.Words()
	if in < zone.Minute {
		sentence = "they were in the soak for less than a minute"
	}
	return newQuestion(sentence, "leave them "+unit.Show(unit.KindDuration, soak.UsualTime.Value, e.Style)+", so that the soda ash reaches every fibre; dry spots stay pale")
}

// powderSlack is the factor from which a weighing is taken for a slip.
const powderSlack = 3

// checkPowder asks about powder that is a multiple of what was planned for that much dye.
func checkPowder(s batch.State, e ViewEnv, _ journal.Draft, b journal.JugMixed) *fault.Fault {
	c, known := s.Colour(b.Colour)
	if !known || c.NeedsNewerApp || c.Strength*c.Depth <= 0 || b.VolumeML <= 0 {
		return nil
	}
	wanted := c.Strength * c.Depth * b.VolumeML / 1000
	planned := float64(plan.JugOf(s, c, e.Kit).Mix().TotalPowder())
	where := e.formatVolume(b.VolumeML)
	if b.PowderGrams >= powderSlack*planned { // the volume may follow the slip
		wanted, where = planned, "the jug"
	}
	ratio := b.PowderGrams / wanted
	if ratio < powderSlack && ratio > 1.0/powderSlack {
		return nil
	}
	return newQuestion(e.formatMass(b.PowderGrams)+" of "+c.Name+" in "+where+", but "+e.formatMass(wanted)+" is what it needs: "+offWords(ratio),
		"weigh it again, or correct what you typed")
}

// checkTopUp asks about powder that makes a jug a multiple of its strength.
func checkTopUp(s batch.State, e ViewEnv, d journal.Draft, b journal.JugTopped) *fault.Fault {
	j, known := find(s.Jugs, func(j batch.Jug) bool { return j.ID == d.Subject })
	c, chosen := s.Colour(j.Colour)
	if !known || !chosen || c.NeedsNewerApp || c.Strength*c.Depth <= 0 || b.PowderGrams <= 0 {
		return nil
	}
	wanted := c.Strength * c.Depth * (j.VolumeML + b.AddedML) / 1000
	ratio := (j.PowderGrams + b.PowderGrams) / wanted
	if ratio < powderSlack {
		return nil
	}
	return newQuestion("that makes "+e.formatMass(j.PowderGrams+b.PowderGrams)+" of "+c.Name+" in "+e.formatVolume(j.VolumeML+b.AddedML)+
		", where "+e.formatMass(wanted)+" belong: "+offWords(ratio), "weigh it again, or correct what you typed")
}

// checkFilling asks about more dye in bottles than was in the jug.
func checkFilling(s batch.State, e ViewEnv, _ journal.Draft, b journal.BottleFilled) *fault.Fault {
	j, known := find(s.Jugs, func(j batch.Jug) bool { return j.ID == b.Jug })
	left, filled := j.VolumeML-j.FilledML, b.ML*float64(b.Count)
	if !known || filled <= left*1.1+5 { // a jug is read to a tenth
		return nil
	}
	return newQuestion("that is "+e.formatVolume(filled)+" out of a jug with "+e.formatVolume(max(0, left))+" left",
		"perhaps these bottles were recorded already")
}
