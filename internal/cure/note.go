package cure

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
)

// Note is something a person should know about an outlook: a code for a
// program, a sentence, and where it comes from.
type Note struct {
	Code   string            `json:"code"`
	Text   string            `json:"text"`
	Source provenance.Source `json:"source"`
}

var judgementSource = provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source"}

// HotLimitSource is the source of the statement that monochlorotriazine needs heat.
var HotLimitSource = provenance.Source{Reliability: provenance.Memory, Text: "J. Shore (ed.), Cellulosics Dyeing, Society of Dyers and Colourists 1995, chapter 4"}

// The notes.
var (
	noteNeedsHeat = Note{"needs-heat",
		"monochlorotriazine does not bond in a cold bag with soda ash: it needs a hot bath, about 80 °C for about an hour, with the alkali its maker names",
		HotLimitSource}
	noteUnknown = Note{"unknown-class",
		"no time is known for an unknown class: look on the jar or its safety data sheet for dichlorotriazine, vinyl sulfone or monochlorotriazine, or for the Colour Index name; or bag a few scraps with it, wash one hot every few hours, and see when the colour no longer gets stronger",
		provenance.CommonPracticeSource}
	noteVinylSulfone = Note{"vinyl-sulfone",
		"vinyl sulfone with soda ash is slower than dichlorotriazine, by how much is not known: keep it at 25 °C or warmer, and wait for the late time if you can",
		judgementSource}
	noteDry = Note{"dry",
		"dye bonds only where it is wet: wet it with soda-ash water and close it again; the hours count from then on",
		provenance.CommonPracticeSource}
	noteSlow = Note{"slow",
		"below 10 °C it takes days: carry it to a warmer place",
		provenance.CommonPracticeSource}
	noteFrozen = Note{"frozen",
		"nothing bonds at 0 °C and colder, and no hours count: carry it to a warmer place",
		judgementSource}
	noteLateNever = Note{"late-never",
		"at these temperatures the late time is more than 60 days away, if ever: carry it to a warmer place",
		judgementSource}
	noteOldReading = Note{"old-reading",
		"the thermometer was last read more than 6 h ago: read it again for a better time",
		judgementSource}
	noteNoSoda = Note{"no-soda",
		"below pH 10.2 the cloth is not alkaline enough for these times: it is not ready, however long it waits",
		judgementSource}
	noteExtrapolatedHot = Note{"hot",
		"no practice goes above 40 °C: this time is extrapolated",
		judgementSource}
	noteNoGain = Note{"past",
		"no gain in waiting; don't let it dry",
		provenance.CommonPracticeSource}
	noteNotClosed = Note{"not-closed",
		"the hours start when you close the bag",
		provenance.CommonPracticeSource}
)

// addNotes adds what a person should know.
func (o *Outlook) addNotes(b BagConditions) {
	add := func(when bool, n Note) {
		if when {
			o.Notes = append(o.Notes, n)
		}
	}
	add(b.Class == dye.Monochlorotriazine, noteNeedsHeat)
	add(b.Class == dye.UnknownClass, noteUnknown)
	if !IsTimed(b.Class) {
		return
	}
	waiting := o.Verdict == VerdictSlow || o.Verdict == VerdictFrozen || o.Verdict == VerdictKeepWet || o.Verdict == VerdictProbablyReady
	add(o.Verdict == VerdictDry, noteDry)
	add(b.PH != nil && float64(*b.PH) < ReadyPH.Value, noteNoSoda)
	add(b.Class == dye.VinylSulfone, noteVinylSulfone)
	add(b.Closed == 0, noteNotClosed)
	add(o.Verdict == VerdictFrozen, noteFrozen)
	add(o.Verdict == VerdictSlow, noteSlow)
	add(o.Verdict == VerdictKeepWet && b.Closed != 0 && o.Late == 0, noteLateNever)
	add(waiting && b.Course.LastReading != 0 && b.Course.IsOld(b.Now), noteOldReading)
	add(float64(o.Present.Celsius) > 40, noteExtrapolatedHot)
	add(o.Verdict == VerdictNoGain, noteNoGain)
}
