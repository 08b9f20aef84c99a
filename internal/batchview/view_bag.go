package batchview

import (
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/place"
	"coldbatch/internal/zone"
)

// ViewBag returns one bag of s as the app shows it.
func ViewBag(s batch.State, id journal.ID, e ViewEnv) (BagView, error) {
	b, ok := s.Bag(id)
	if !ok {
		return BagView{}, fault.New(fault.NotFound, "there is no such bag in this batch").
			WithHint("it may have been undone: see the history")
	}
	return viewBag(s, b, e), nil
}

func viewBag(s batch.State, b batch.Bag, e ViewEnv) BagView {
	v := BagView{
		ID: b.ID, Batch: s.ID, BatchName: s.Name, Number: formatBagNumber(b.Number, b.Letter), NumberDigits: formatBagNumber(b.Number, ""), Letter: b.Letter,
		Contents: contentWords(s, b), Colours: bagColours(s, b), Stage: b.Stage(), Notes: []string{}, NumberClashes: b.NumberClashes,
		ClosedText: "closed " + e.formatTime(b.ClosedAt), ClosedAt: b.ClosedAt,
	}
	last := b.Stays[len(b.Stays)-1]
	v.Holds = slices.Concat([]journal.PieceInBag{}, b.Pieces)
	v.Photos, v.PhotoPieces = bagPhotos(s, b, e), []journal.ID{}
	for _, p := range b.Pieces {
		if _, here := s.Piece(p.Piece); here && p.Count > 0 {
			v.PhotoPieces = append(v.PhotoPieces, p.Piece)
		}
	}
	v.Place, v.PlaceName = last.Place, e.Places[last.Place].Name
	if b.NeedsNewerApp || s.NeedsNewerApp {
		v.NeedsNewerApp, v.Verdict, v.Tone, v.Headline = true, "update", "care", "update the app"
		v.Timeline.Ticks, v.Readiness = []ScaleMark{}, readinessOf(v.Stage, cure.VerdictUnknown)
		if b.LastPrinted != nil && b.LastPrinted.Ready != 0 {
			v.ReadyText = "its label said " + e.formatTime(b.LastPrinted.Ready)
		}
		v.addNote("a newer version of the app changed this bag: update this app to see when the bag is ready")
		return v
	}
	now := e.Now
	if b.OpenedAt != 0 {
		now = b.OpenedAt
	}
	o, course, read := bagOutlook(s, b, e, now)
	v.Verdict, v.ReadyAt, v.LateReadyAt = string(o.Verdict), o.Ready, o.Late
	v.Readiness = readinessOf(v.Stage, o.Verdict)
	v.Timeline = e.buildTimeline(b.ClosedAt, o.Ready, o.Late, now)
	if b.Stage() == "cure" {
		v.setCure(o, e)
		if v.IsCold = isCold(b, o, e); v.IsCold {
			v.setCarryIn(s, b, o, e)
		}
		v.Condition = e.readyCondition(v.PlaceName, course, read)
	} else {
		v.setEnded(b, o, e)
		v.Rated = shortRating(s, b)
		if b.Stage() == "opened" {
			v.WashSteps = washSteps(s, b, e)
		}
	}
	if o.DoneShare > 0 {
		v.TimeShare = formatPercent(float64(o.DoneShare)) + " of the usual time"
		if own := e.Kit.Cure; o.Class == dye.Dichlorotriazine && own.Value > 0 {
			v.TimeShare = formatPercent(float64(o.DoneShare)) + " of " + formatPercent(own.Value) + " of the usual time, which was enough in your own bags (" +
				countWords(own.Results, "result", "results") + ")"
		}
	}
	v.PrintTimes = e.printTimes(b.ClosedAt, o)
	v.AttachedBlanks, v.SplitInto, v.FreeBlanksText = attachedNumbers(s, b), bagsSplitOff(s, b), freeBlankWords(s)
	v.FreeBlanksHaveLetter = hasLetteredBlanks(s)
	if o.Ready != 0 {
		v.PrintTimes.Condition = e.readyCondition("", course, read)
	}
	if share, ok := heldShare(s, b); ok {
		v.addNote(fmt.Sprintf("weighed %s wet: the cloth holds %.1f times its dry weight", e.formatMass(b.WeighedGrams), share))
	}
	v.noteEvents(b, e)
	for _, n := range o.Notes {
		if b.Stage() == "cure" { // they say what to do with a bag that cures
			v.addNote(n.Text)
		}
	}
	v.ModelSentence = modelSentence(o)
	setAddress(s, &v, b, o, course, e)
	return v
}

func (v *BagView) addNote(text string) { v.Notes = append(v.Notes, text) }

// setCure sets headline, times and notes of a bag that is still closed.
func (v *BagView) setCure(o cure.Outlook, e ViewEnv) {
	v.Headline, v.Tone = o.Verdict.Words(), "wet"
	switch o.Verdict {
	case cure.VerdictReady, cure.VerdictProbablyReady, cure.VerdictNoGain:
		v.Tone = "done"
	case cure.VerdictNeedsHeat, cure.VerdictDry, cure.VerdictNeedsSoda, cure.VerdictFrozen, cure.VerdictSlow, cure.VerdictUnknown:
		v.Tone = "care"
	}
	if o.Verdict == cure.VerdictDry || o.Verdict == cure.VerdictFrozen || o.Verdict == cure.VerdictNeedsSoda {
		o.Ready = 0 // nothing bonds now: a time would contradict that
	}
	switch {
	case o.Ready == 0:
		v.ReadyText = ""
	case e.Now < o.Ready:
		left := o.Ready.Sub(e.Now)
		v.TimeLeft, v.TimeLeftParts, v.ReadyText = left.Words(), left.Parts(), "about "+e.formatTime(o.Ready)
	default:
		v.ReadyText = "since " + e.formatTime(o.Ready)
	}
	switch {
	case o.Ready == 0:
	case o.Late == 0:
		v.SafeTime = "too cold to give a safe time"
	case e.Now < o.Late:
		v.SafeTime = "to be safe " + e.formatTime(o.Late)
	default:
		v.SafeTime = "safe since " + e.formatTime(o.Late)
	}
}

// setCarryIn says what carrying a cold bag to a warmer place brings.
func (v *BagView) setCarryIn(s batch.State, b batch.Bag, o cure.Outlook, e ViewEnv) {
	v.Tone = "care"
	if v.CarryIn = carryIn(s, b, o, e); v.CarryIn != nil {
		v.CarryIn.Text = v.CarryIn.carryText(1, e)
		v.addNote(v.CarryIn.Text)
	}
}

// setEnded sets headline and times of a bag that was opened.
func (v *BagView) setEnded(b batch.Bag, o cure.Outlook, e ViewEnv) {
	v.Tone = "plain"
	switch b.Stage() {
	case "done":
		if b.IsEmpty() {
			v.Headline = "empty: its pieces are in another bag"
			break
		}
		v.Headline, v.ReadyText = "washed and dry", e.formatTime(b.DoneAt)
	case "rinsed":
		v.Headline, v.ReadyText = "rinsed: wash it alone", "rinsed "+e.formatTime(b.RinsedAt)
	default:
		v.Headline, v.ReadyText, v.Tone = "rinse it now", "opened "+e.formatTime(b.OpenedAt), "done"
	}
	if o.Ready != 0 && b.OpenedAt != 0 && b.OpenedAt < o.Ready {
		v.addNote("opened before the usual time: more colour may wash out than otherwise")
	}
}

// printTimes returns a bag's times as a label prints them.
func (e ViewEnv) printTimes(closed zone.Instant, o cure.Outlook) PrintTimes {
	dated := func(i zone.Instant) string {
		if i == 0 {
			return ""
		}
		return e.Zone.FormatClockWithDate(i, e.Style.Clock12)
	}
	return PrintTimes{ReadyText: dated(o.Ready), SafeTime: dated(o.Late), Closed: dated(closed), WaitForSafe: cure.WaitsForLate(o.Class) && o.Late != 0}
}

// readyCondition returns the condition under which the ready time holds: "if the shed stays near 18 °C".
func (e ViewEnv) readyCondition(name string, c place.TemperatureCourse, read bool) string {
	where := "it"
	if name != "" {
		where = "“" + name + "”"
	}
	n := c.At(e.Now)
	out := "if " + where + " stays near " + e.formatTemperature(math.Round(float64(n.Celsius)))
	if !read {
		out += " (assumed, no reading yet)"
	}
	return out
}

// noteEvents adds a note for each event of the bag.
func (v *BagView) noteEvents(b batch.Bag, e ViewEnv) {
	if b.NumberClashes {
		v.addNote("another bag has this number too: check the colours and the code")
	}
	for _, c := range v.Colours {
		if c.OffText != "" {
			v.addNote(c.Name + " was " + c.OffText + " when this bag was closed")
		}
	}
	if b.ClockCorrection != 0 {
		v.addNote("the phone's clock was " + clockError(b.ClockCorrection) + " when this bag was closed; the times are corrected")
	}
	for _, a := range b.AddedDyes {
		v.addNote("dye added " + e.formatTime(a.At) + ": its own cure began then")
	}
	if b.LastRagTest != nil {
		v.addNote("white rag test " + e.formatTime(b.LastRagTest.At) + ": " + ragWords[b.LastRagTest.Showed])
	}
	if n := len(b.LookTimes); n > 0 {
		v.addNote("opened for a look " + e.formatTime(b.LookTimes[n-1]) + " and closed again: each look cools it and lets it dry")
	}
	for _, d := range drySpans(b, b.ClosedAt) {
		if d.Till != 0 {
			v.addNote("wetted " + e.formatTime(d.Till) + ": it may have been dry since " + e.formatTime(d.From) + ", so these hours do not count")
		} else {
			v.addNote("found dry: it may have been dry since " + e.formatTime(d.From) + ", so the hours from then on do not count")
		}
	}
	if b.Note != "" {
		v.addNote(b.Note)
	}
}

func clockError(by zone.Span) string {
	if by > 0 {
		return by.Words() + " slow"
	}
	return (-by).Words() + " fast"
}

func formatPercent(share float64) string {
	return strconv.Itoa(int(math.Round(min(share, 9.99)*100))) + " %"
}

// modelSentence returns what the model of the chemistry says, "" if it says nothing.
func modelSentence(o cure.Outlook) string {
	c := o.Chemistry
	if c == nil {
		return ""
	}
	hours := func(h float64) string {
		if h < 10 {
			return strconv.FormatFloat(math.Round(h*10)/10, 'f', -1, 64)
		}
		return strconv.Itoa(int(math.Round(h)))
	}
	pale := ""
	if c.PaleTime != 0 {
		pale = ", for pale shades after about " + hours(c.PaleTime.Hours()) + " h"
	}
	return "common practice leaves a bag for 24 h at 21 °C, with advice from 12 to 48 h. A model of the chemistry says 95 % has reacted after about " +
		hours(c.To95.Hours()) + " h (" + hours(c.Low.Hours()) + "–" + hours(c.High.Hours()) + " h) at this temperature" + pale + "; it does not replace practice"
}

// bagColours returns the colours in the bag with their shares, including dye added later.
func bagColours(s batch.State, b batch.Bag) []ColourView {
	all := append([]journal.ColourInBag(nil), b.Colours...)
	for _, a := range b.AddedDyes {
		all = append(all, a.Colours...)
	}
	out := make([]ColourView, 0, len(all))
	for _, bc := range all {
		c, ok := s.Colour(bc.Colour)
		if !ok {
			c = batch.Colour{ID: bc.Colour, Name: "a colour that was withdrawn", CapLetters: "??", RGB: "#808080"}
		}
		v := viewColour(c)
		v.Share = bc.Share
		markOff(s, &v, b.ClosedAt)
		out = append(out, v)
	}
	return out
}

func viewColour(c batch.Colour) ColourView {
	i := dye.Class(c.Class).Info()
	return ColourView{ID: c.ID, Name: c.Name, CapLetters: c.CapLetters, RGB: c.RGB, Class: c.Class, ClassWords: i.Words,
		Generic: c.Generic, GPerL: c.Strength, Depth: c.Depth, VolumeML: c.VolumeML, ColourMore: c.ColourMore}
}

// setAddress sets the code and the address that a label of the bag printed now would have.
func setAddress(s batch.State, v *BagView, b batch.Bag, o cure.Outlook, course place.TemperatureCourse, e ViewEnv) {
	raw, err := hex.DecodeString(b.Token)
	if err != nil || len(raw) != len(label.Token{}) {
		return
	}
	l := label.Label{Number: b.Number, Letter: b.Letter, ClosedAt: b.ClosedAt, ReadyAt: o.Ready, EarliestReady: o.Early, LatestReady: o.Late,
		OffsetSeconds: e.Zone.Offset(b.ClosedAt), Celsius: float64(course.At(e.Now).Celsius), ClassCode: classCode(o.Class),
		FoldCode: foldOf(bagFold(s, b)).Code}
	copy(l.Token[:], raw)
	for _, c := range e.Zone.Changes {
		if c.From > b.ClosedAt && c.From <= max(o.Ready, o.Late) {
			l.NextOffsetFrom, l.NextOffsetSeconds = c.From, c.Offset
			break
		}
	}
	if len(b.Pieces) > 0 {
		if p, ok := s.Piece(b.Pieces[0].Piece); ok {
			l.PieceCode = int(goods.Kind(p.Kind).Info().Code)
		}
	}
	for _, c := range v.Colours {
		if len(l.Colours) < label.MaxColours {
			l.Colours = append(l.Colours, label.Colour{CapLetters: c.CapLetters, Name: c.Name, RGB: parseRGB(c.RGB),
				ShareSixteenths: min(16, max(1, int(math.Round(c.Share*16))))})
		}
	}
	v.TypedID = l.Token.ID()
	v.Code, err = label.EncodeNamed(e.Host, l)
	if err != nil {
		// A letter that no label takes must not cost the label: its token finds the bag.
		if len(l.Letter) > 1 || !strings.Contains(label.Letters, l.Letter) {
			l.Letter = ""
		}
		l.Colours = nil
		v.Code, err = label.EncodeNamed(e.Host, l)
	}
	if err != nil {
		v.addNote("no label can be made: " + err.Error())
	} else if e.Host != "" {
		v.Address = label.Address(e.Host, v.Code)
	}
	v.checkLabel(b, l, e)
}

// bagFold returns the fold of a bag, or of its first piece if the bag has none.
func bagFold(s batch.State, b batch.Bag) string {
	if b.Fold != "" || len(b.Pieces) == 0 {
		return b.Fold
	}
	p, _ := s.Piece(b.Pieces[0].Piece)
	return p.Fold
}

var classCodes = []dye.Class{label.ClassUnknown: dye.UnknownClass, label.ClassDichlorotriazine: dye.Dichlorotriazine,
	label.ClassVinylSulfone: dye.VinylSulfone, label.ClassMonochlorotriazine: dye.Monochlorotriazine}

func classCode(c dye.Class) int {
	for code, k := range classCodes {
		if k == c {
			return code
		}
	}
	return label.ClassUnknown
}

func parseRGB(s string) (out [3]uint8) {
	if len(s) != 7 {
		return
	}
	if v, err := strconv.ParseUint(s[1:], 16, 32); err == nil {
		out = [3]uint8{uint8(v >> 16), uint8(v >> 8), uint8(v)}
	}
	return
}
