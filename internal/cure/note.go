package cure

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
)

// Note is something a person should know about an outlook: a code for a
// program, a sentence, and where it comes from.
type Note struct {
	Code   string       `json:"code"`
	Text   string       `json:"text"`
	Source fault.Source `json:"source"`
}

var judgement = fault.Source{Kind: fault.Practice, Text: "judgement, no source"}

// HotSource is where it is from that monochlorotriazine needs heat.
var HotSource = fault.Source{Kind: fault.Memory, Text: "J. Shore (ed.), Cellulosics Dyeing, Society of Dyers and Colourists 1995, chapter 4"}

// The notes.
var (
	noteNeedsHeat = Note{"needs-heat",
		"monochlorotriazine does not bond in a cold bag with soda ash: it needs a hot bath, about 80 °C for about an hour, with the alkali its maker names",
		HotSource}
	noteUnknown = Note{"unknown-class",
		"no time can be given for an unknown class: look on the jar or its safety data sheet for dichlorotriazine, vinyl sulfone or monochlorotriazine, or for the Colour Index name; or bag a few scraps with it, wash one hot every few hours, and see when the colour no longer gets stronger",
		fault.CommonPractice}
	noteVinylSulfone = Note{"vinyl-sulfone",
		"vinyl sulfone with soda ash is slower to start than dichlorotriazine; practice gives it the same day, and likes it warm: leave it to the late figure",
		fault.CommonPractice}
	noteCold = Note{"cold",
		"below 10 °C nothing is counted on, and no time to be safe can be given: bring the bag to a warmer place",
		fault.CommonPractice}
	noteNever = Note{"late-never",
		"at these temperatures no time to be safe can be given, as hours that may be below 10 °C are not counted on: keep it warmer, and read the thermometer again",
		judgement}
	noteOld = Note{"old-reading",
		"the thermometer was last read more than 6 h ago: read it again for a better time",
		judgement}
	noteNoSoda = Note{"no-soda",
		"no soda ash to speak of: practice does not hold; below pH 10 the cloth is not alkaline enough for the times given, nor for calling it ready",
		judgement}
	noteHot = Note{"hot",
		"above 40 °C the time is scaled further than practice goes",
		judgement}
	notePast = Note{"past",
		"no gain in waiting; don't let it dry",
		fault.CommonPractice}
	noteNotClosed = Note{"not-closed",
		"the hours run from when the bag is closed",
		fault.CommonPractice}
)

// notes fills in what a person should know.
func (o *Outlook) notes(b Bag) {
	add := func(when bool, n Note) {
		if when {
			o.Notes = append(o.Notes, n)
		}
	}
	add(b.Class == dye.Monochlorotriazine, noteNeedsHeat)
	add(b.Class == dye.Unknown, noteUnknown)
	if !Timed(b.Class) {
		return
	}
	c, waiting := float64(o.Present.Celsius), o.Verdict != Ready && o.Verdict != Past
	add(b.PH != nil && *b.PH < leastPH, noteNoSoda)
	add(b.Class == dye.VinylSulfone, noteVinylSulfone)
	add(b.Closed == 0, noteNotClosed)
	add(waiting && c < Floor.Value, noteCold)
	add(waiting && c >= Floor.Value && b.Closed != 0 && o.Late == 0, noteNever)
	add(waiting && b.Course.LastReading != 0 && b.Course.Old(b.Now), noteOld)
	add(c > 40, noteHot)
	add(o.Verdict == Past, notePast)
}
