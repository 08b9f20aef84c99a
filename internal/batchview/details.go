package batchview

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/cause"
	"coldbatch/internal/dye"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
)

// detailWriters has a function for each kind of fact with a body: it returns the parts of the
// history line that show the body. TestHistoryHoldsEachBody fails for a field that no line
// shows.
var detailWriters = map[string]func(h historyWriter, f journal.Fact) []string{
	journal.KindClockMeasured: detailWriter(func(_ historyWriter, b journal.ClockMeasured) []string {
		if b.Offset == 0 {
			return []string{"right"}
		}
		return []string{clockError(b.Offset)}
	}),

	journal.KindBatchStarted: detailWriter(func(h historyWriter, b journal.BatchStarted) []string {
		return []string{b.Name, h.deadline(b.Deadline), h.rinsing(b.RinseAt), b.Note}
	}),
	journal.KindBatchChanged: detailWriter(func(h historyWriter, b journal.BatchChanged) (out []string) {
		if b.Deadline != nil {
			out = append(out, h.deadline(*b.Deadline))
		}
		out = append(out, h.rinsing(optional(b.RinseAt)))
		return append(out, optionalText(b.Name), optionalText(b.Note))
	}),
	journal.KindBatchFinished:  detailWriter(noteDetails),
	journal.KindBatchForgotten: detailWriter(noteDetails),
	journal.KindBatchRepeated: detailWriter(func(h historyWriter, b journal.BatchRepeated) []string {
		return []string{h.names[b.From], formatFactor(b.Scale)}
	}),
	journal.KindNumbersLeased: detailWriter(func(h historyWriter, b journal.NumbersLeased) []string {
		return []string{fmt.Sprintf("%d to %d", b.FirstNumber, b.LastNumber), h.names[b.Device]}
	}),

	journal.KindPieceAdded: detailWriter(func(h historyWriter, b journal.PieceAdded) []string {
		words := pieceWords(batch.Piece{Kind: b.Kind, Name: b.Name}, b.Count)
		out := append([]string{words, h.pieceKind(b.Kind, b.Name), h.pieceWeight(b.Grams, b.WeightAssumed)}, h.cloth(b.Fibre, b.MainFibreShare, b.Fold)...)
		return append(out, h.pieceMore(b.PieceMore)...)
	}),
	journal.KindPieceChanged: detailWriter(func(h historyWriter, b journal.PieceChanged) (out []string) {
		if b.Count != nil {
			out = append(out, countWords(*b.Count, "piece", "pieces"))
		}
		if b.Kind != nil {
			out = append(out, pieceWords(batch.Piece{Kind: *b.Kind}, 1))
		}
		if b.Grams != nil {
			out = append(out, h.pieceWeight(*b.Grams, false))
		}
		if b.WeightAssumed != nil {
			out = append(out, yesOrNo(*b.WeightAssumed, "weight assumed", "weighed"))
		}
		share := 0.0
		if b.MainFibreShare != nil {
			share = *b.MainFibreShare
		}
		out = append(append(out, optionalText(b.Name)), h.cloth(optionalText(b.Fibre), share, optionalText(b.Fold))...)
		more := journal.PieceMore{Blend: optional(b.Blend), Colours: optional(b.Colours), Depth: optional(b.Depth), Note: optional(b.Note), Owner: optional(b.Owner), Price: optional(b.Price)}
		return append(out, h.pieceMore(more)...)
	}),
	journal.KindPieceSplit: detailWriter(func(_ historyWriter, b journal.PieceSplit) []string {
		return []string{countWords(b.Count, "piece", "pieces")}
	}),
	journal.KindPieceRemoved: detailWriter(noteDetails),
	journal.KindPieceScoured: detailWriter(func(h historyWriter, b journal.PieceScoured) []string {
		return []string{h.optionalTemperature(b.Celsius)}
	}),
	journal.KindPieceDesigned: detailWriter(func(h historyWriter, b journal.PieceDesigned) []string {
		out := []string{b.Name, foldOf(b.Fold).Words}
		for _, s := range b.Steps {
			out = append(out, h.designStep(s))
		}
		return out
	}),
	journal.KindPieceTied: detailWriter(func(_ historyWriter, b journal.PieceTied) []string {
		return []string{foldOf(b.Fold).Words, countWords(b.Bands, "band", "bands")}
	}),
	journal.KindPieceTaken: detailWriter(func(_ historyWriter, b journal.PieceTaken) []string {
		return []string{countWords(b.Count, "piece", "pieces")}
	}),
	journal.KindPieceDyed: detailWriter(func(h historyWriter, b journal.PieceDyed) (out []string) {
		for _, s := range b.Sections {
			part := h.formatVolume(s.ML) + " of " + h.colourName(s.Colour)
			if s.Name != "" {
				part = s.Name + " " + part
			}
			out = append(out, part)
		}
		return out
	}),
	journal.KindPieceTagged: detailWriter(historyWriter.printing),
	journal.KindPiecePhotographed: detailWriter(func(h historyWriter, b journal.PiecePhotographed) []string {
		return []string{photoStages[b.Stage], h.bagName(b.Bag)}
	}),

	journal.KindColourChosen: detailWriter(func(h historyWriter, b journal.ColourChosen) []string {
		out := []string{b.Name, b.CapLetters, b.RGB, h.formatStrength(b.Strength), h.depth(b.Depth), dye.Class(b.Class).Info().Words, b.Generic, h.volumeToMake(b.VolumeML)}
		return append(out, h.colourMore(b.ColourMore)...)
	}),
	journal.KindColourChanged: detailWriter(func(h historyWriter, b journal.ColourChanged) (out []string) {
		out = append(out, optionalText(b.Name), optionalText(b.CapLetters), optionalText(b.RGB), optionalText(b.Generic))
		if b.Class != nil {
			out = append(out, dye.Class(*b.Class).Info().Words)
		}
		if b.Strength != nil {
			out = append(out, h.formatStrength(*b.Strength))
		}
		if b.Depth != nil {
			out = append(out, h.depth(*b.Depth))
		}
		if b.VolumeML != nil {
			out = append(out, h.volumeToMake(*b.VolumeML))
		}
		return append(out, h.colourMore(journal.ColourMore{OnCloth: optional(b.OnCloth), Grams: optional(b.Grams), Holds: optional(b.Holds), Bottles: optional(b.Bottles)})...)
	}),
	journal.KindColourRemoved: detailWriter(noteDetails),

	journal.KindPowderOpened: detailWriter(noteDetails),
	journal.KindPowderClosed: detailWriter(noteDetails),
	journal.KindSoakDissolved: detailWriter(func(_ historyWriter, b journal.SoakDissolved) []string {
		return []string{yesOrNo(b.IsClear, "clear to the bottom", "not yet")}
	}),
	journal.KindSoakMixed:  detailWriter(historyWriter.soakMixed),
	journal.KindSoakTopped: detailWriter(historyWriter.soakMixed),
	journal.KindSoakChecked: detailWriter(func(h historyWriter, b journal.SoakChecked) []string {
		return []string{"pH " + strconv.FormatFloat(b.PH, 'f', -1, 64) + " by " + b.MeasuredWith, h.optionalTemperature(b.Celsius)}
	}),
	journal.KindSoakBegun:     detailWriter(historyWriter.soakPieces),
	journal.KindSoakEnded:     detailWriter(historyWriter.soakPieces),
	journal.KindSoakDiscarded: detailWriter(noteDetails),

	journal.KindJugMixed: detailWriter(func(h historyWriter, b journal.JugMixed) []string {
		return []string{h.formatMass(b.PowderGrams) + " of " + h.colourName(b.Colour) + " made up to " + h.formatVolume(b.VolumeML),
			h.optionalMass(b.UreaGrams, "urea"), h.optionalMass(b.SoftenerGrams, "softener"), h.optionalMass(b.AlginateGrams, "alginate"), h.optionalTemperature(b.Celsius)}
	}),
	journal.KindJugThinned: detailWriter(func(h historyWriter, b journal.JugThinned) []string {
		return []string{"to " + h.formatVolume(b.AddedML)}
	}),
	journal.KindJugTopped: detailWriter(func(h historyWriter, b journal.JugTopped) []string {
		return []string{h.optionalMass(b.PowderGrams, "powder"), withLabel("by ", h.optionalVolume(b.AddedML))}
	}),
	journal.KindJugActivated: detailWriter(func(h historyWriter, b journal.JugActivated) []string { return []string{h.formatMass(b.SodaGrams)} }),
	journal.KindJugDiscarded: detailWriter(noteDetails),
	journal.KindBottleFilled: detailWriter(func(h historyWriter, b journal.BottleFilled) []string {
		return []string{fmt.Sprintf("%d × %s", b.Count, h.formatVolume(b.ML)), h.jugName(b.Jug)}
	}),

	journal.KindBlanksPrinted: detailWriter(historyWriter.printing),
	journal.KindBagClosed: detailWriter(func(h historyWriter, b journal.BagClosed) []string {
		return h.inBag(b.Pieces, b.Colours, b.Fold, b.Place, b.Celsius, b.Note)
	}),
	journal.KindBagChanged: detailWriter(func(h historyWriter, b journal.BagChanged) []string {
		return h.inBag(b.Pieces, b.Colours, optionalText(b.Fold), "", b.Celsius, optionalText(b.Note))
	}),
	journal.KindBagMoved: detailWriter(func(h historyWriter, b journal.BagMoved) []string {
		return []string{h.placeName(b.Place), h.optionalTemperature(b.Celsius)}
	}),
	journal.KindBagLooked: detailWriter(func(h historyWriter, b journal.BagLooked) []string { return []string{h.seconds(b.Seconds)} }),
	journal.KindBagDyed: detailWriter(func(h historyWriter, b journal.BagDyed) []string {
		return []string{h.colours(b.Colours)}
	}),
	journal.KindBagDried: detailWriter(func(_ historyWriter, b journal.BagFoundDry) []string {
		return []string{yesOrNo(b.WasWetted, "wetted again", "not wetted"), b.Note}
	}),
	journal.KindBagWeighed: detailWriter(func(h historyWriter, b journal.BagWeighed) []string { return []string{h.formatMass(b.Grams)} }),
	journal.KindBagSplit: detailWriter(func(h historyWriter, b journal.BagSplit) []string {
		return []string{h.pieces(b.Pieces) + " into " + h.bagName(b.Into)}
	}),
	journal.KindBagBound: detailWriter(func(h historyWriter, b journal.BagBound) []string {
		x, known := h.BlankByToken(b.Token)
		return []string{yesOrNo(known, formatBagNumber(x.Number, x.Letter), "a label that this phone does not know")}
	}),
	journal.KindBagPrinted: detailWriter(func(h historyWriter, b journal.BagPrinted) (out []string) {
		if b.Ready != 0 {
			out = append(out, "ready about "+h.formatDate(b.Ready))
		}
		return append(out, b.Sheet)
	}),
	journal.KindBagOpened: detailWriter(func(_ historyWriter, b journal.BagOpened) []string { return []string{b.Note} }),
	journal.KindBagRinsed: detailWriter(func(_ historyWriter, b journal.BagRinsed) (out []string) {
		out = append(out, countWords(b.Baths, "bath", "baths"))
		if b.Clear != nil {
			out = append(out, yesOrNo(*b.Clear, "the last ran clear", "the last did not run clear"))
		}
		return out
	}),
	journal.KindBagDone: detailWriter(func(_ historyWriter, b journal.BagDone) []string { return []string{b.Note} }),

	journal.KindRinseDone: detailWriter(func(h historyWriter, b journal.RinseDone) []string {
		return []string{h.optionalVolume(b.Water), h.optionalTemperature(b.Celsius), yesOrNo(b.Soap, "with soap", ""), h.bagNames(b.Bags)}
	}),
	journal.KindRagTested: detailWriter(func(h historyWriter, b journal.RagTested) []string {
		return []string{ragWords[b.Showed], h.optionalTemperature(b.Celsius)}
	}),
	journal.KindWashDone: detailWriter(func(h historyWriter, b journal.WashDone) []string {
		return []string{h.optionalTemperature(b.Celsius), yesOrNo(b.Alone, "alone", "with other washing"), h.bagNames(b.Bags)}
	}),

	journal.KindResultRated: detailWriter(func(_ historyWriter, b journal.ResultRated) []string {
		white, wrong := "", ""
		if b.WhiteShare != nil {
			white = formatPercent(*b.WhiteShare) + " stayed white"
		}
		if b.Faults != nil {
			wrong = cause.FaultWords(*b.Faults)
		}
		cleared := make([]string, len(b.Cleared))
		for i, p := range b.Cleared {
			cleared[i] = propertyWords[p] + " taken off"
		}
		return append(cleared, formatRating("overall", b.Overall), formatRating("brightness", b.Bright), formatRating("evenness", b.Even), withLabel("white inside: ", b.White), white,
			withLabel("bleeding: ", b.Bled), wrong, b.Note)
	}),
	journal.KindColourRead: detailWriter(func(_ historyWriter, b journal.ColourRead) []string {
		return []string{"L*a*b* " + formatLab(b.Lab) + " ± " + formatNumber(b.Error), countWords(b.Washes, "wash", "washes")}
	}),
	journal.KindResultMeasured: detailWriter(func(_ historyWriter, b journal.ResultMeasured) []string {
		return []string{"L*a*b* " + formatLab(b.Before) + " before, " + formatLab(b.After) + " after", yesOrNo(b.Rough, "roughly, from a photo", "")}
	}),
	journal.KindCostSet: detailWriter(func(_ historyWriter, b journal.CostSet) []string {
		return []string{b.Name + " " + formatNumber(b.Price) + " for " + formatNumber(b.Amount) + " " + b.Unit}
	}),

	journal.KindPlaceNamed: detailWriter(func(_ historyWriter, b journal.PlaceNamed) []string { return []string{b.Name} }),
	journal.KindPlaceRead: detailWriter(func(h historyWriter, b journal.TemperatureReading) []string {
		reading := h.formatTemperature(b.Celsius)
		if b.Error != nil {
			reading += " ± " + formatNumber(*b.Error) + " K"
		}
		return []string{reading, whereWords[b.Where], b.Sensor}
	}),
	journal.KindPlaceExtremes: detailWriter(func(h historyWriter, b journal.PlaceExtremes) []string {
		return []string{h.formatTemperature(b.Low) + " " + h.formatTime(b.LowAt), h.formatTemperature(b.High) + " " + h.formatTime(b.HighAt), whereWords[b.Where]}
	}),
	journal.KindPlaceUsual: detailWriter(func(h historyWriter, b journal.UsualTemperatures) []string {
		return []string{h.formatTemperature(b.Low) + " at night", h.formatTemperature(b.High) + " by day"}
	}),
	journal.KindPlaceSensed: detailWriter(func(_ historyWriter, b journal.SensorAdded) []string { return []string{b.Name} }),

	journal.KindDesignKept: detailWriter(func(_ historyWriter, b journal.DesignKept) []string { return []string{b.Name} }),
	journal.KindDesignTried: detailWriter(func(h historyWriter, b journal.DesignTried) []string {
		return []string{strings.ReplaceAll(b.Fold, "-", " "), fmt.Sprintf("%.0f %% stayed white", 100*b.WhiteShare), "the dye went " + formatNumber(math.Round(b.Effect*1000)/1000) + " times as far as the model says", b.Note}
	}),

	journal.KindStockKnown: detailWriter(func(h historyWriter, b journal.StockDescribed) []string {
		out := []string{b.Name, b.StockType, b.Generic, b.RGB, withLabel("lot ", b.Lot), h.opened(b.Opened)}
		return append(append(out, h.dyeClass(b.Class)), h.stockFigures(b.Strength, b.ScaleStep, b.CapacityML, b.MinStock)...)
	}),
	journal.KindStockChanged: detailWriter(func(h historyWriter, b journal.StockChanged) []string {
		out := []string{optional(b.Name), optional(b.Generic), optional(b.RGB), withLabel("lot ", optional(b.Lot)), h.opened(optional(b.Opened))}
		if b.IsGone != nil {
			out = append(out, yesOrNo(*b.IsGone, "no longer on the shelf", "on the shelf again"))
		}
		return append(append(out, h.dyeClass(optional(b.Class))), h.stockFigures(b.Strength, b.ScaleStep, b.CapacityML, b.MinStock)...)
	}),
	journal.KindStockBought:  detailWriter(historyWriter.stockMoved),
	journal.KindStockUsed:    detailWriter(historyWriter.stockMoved),
	journal.KindStockCounted: detailWriter(historyWriter.stockMoved),
	journal.KindStockThrown:  detailWriter(historyWriter.stockMoved),

	journal.KindSumsSet: detailWriter(func(h historyWriter, b journal.SumsSet) (out []string) {
		out = append(out, optional(b.Currency))
		if b.Hourly != nil {
			out = append(out, formatNumber(*b.Hourly)+" an hour")
		}
		if b.Margin != nil {
			out = append(out, formatPercent(*b.Margin)+" margin")
		}
		if b.Hardness != nil {
			out = append(out, "water "+unit.Show(unit.KindHardness, *b.Hardness, h.Style))
		}
		if f := b.PickUp; f != nil {
			out = append(out, ownFigureWords("cloth holds "+formatNumber(f.Value)+" times its weight", "what cloth holds", *f))
		}
		if f := b.Cure; f != nil {
			out = append(out, ownFigureWords("cure "+formatPercent(f.Value)+" of the usual time", "cure time", *f))
		}
		return out
	}),

	journal.KindDeviceJoined: detailWriter(func(_ historyWriter, b journal.DeviceJoined) []string {
		return []string{b.Name, withLabel("letter ", b.Letter)}
	}),
	journal.KindDeviceNamed:    detailWriter(func(_ historyWriter, b journal.DeviceNamed) []string { return []string{b.Name} }),
	journal.KindDeviceRevoked:  detailWriter(noteDetails),
	journal.KindCalendarOpened: detailWriter(func(_ historyWriter, b journal.CalendarOpened) []string { return []string{b.Name} }),
	journal.KindShareOpened: detailWriter(func(h historyWriter, b journal.ShareOpened) []string {
		if b.Until == 0 {
			return []string{"until sharing is stopped"}
		}
		return []string{"until " + h.formatTime(b.Until)}
	}),
	journal.KindHelperJoined: detailWriter(func(_ historyWriter, b journal.DeviceNamed) []string { return []string{b.Name} }),
	journal.KindShareClosed:  detailWriter(noteDetails),
}

// detailWriter makes an entry of details from a function that takes the body.
func detailWriter[T any](write func(h historyWriter, body T) []string) func(historyWriter, journal.Fact) []string {
	return func(h historyWriter, f journal.Fact) []string {
		if body, ok := journal.DecodeBody[T](f); ok {
			return write(h, body)
		}
		return nil
	}
}

// whereWords has where a thermometer is, in words.
var whereWords = map[string]string{"air": "in the air", "dummy": "in a bag of wet cloth", "bag": "on a bag"}

// propertyWords has the properties of a rating, in words.
var propertyWords = map[string]string{"overall": "overall", "bright": "brightness", "even": "evenness", "white": "white inside", "white_share": "white left",
	"bled": "bleeding", "note": "note"}

// ownFigureWords writes a figure of the dyer's own, or that the usual one counts again.
func ownFigureWords(words, what string, f journal.OwnFigure) string {
	if f.Value == 0 {
		return what + " as usual"
	}
	return words + " (" + countWords(f.Results, "result", "results") + ")"
}

// ragWords has what a white rag showed, in words.
var ragWords = map[string]string{"clean": "the rag stayed white", "tinted": "the rag took on a tint", "stained": "the rag was stained"}

func noteDetails(_ historyWriter, b journal.NoteBody) []string { return []string{b.Note} }

// formatNumber writes a number with as many digits as it has.
func formatNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func formatFactor(scale float64) string { return "× " + formatNumber(math.Round(scale*1000)/1000) }

func formatLab(c [3]float64) string {
	return formatNumber(c[0]) + "/" + formatNumber(c[1]) + "/" + formatNumber(c[2])
}

// formatRating writes a rating from 1 to 5, "" for 0, which is not rated.
func formatRating(what string, rating int) string {
	if rating == 0 {
		return ""
	}
	return fmt.Sprintf("%s %d of 5", what, rating)
}

// optionalText returns a text, "" for nil.
func optionalText(s *string) string { return optional(s) }

// optional returns a value, its zero for nil.
func optional[T any](v *T) (value T) {
	if v != nil {
		value = *v
	}
	return value
}

func yesOrNo(is bool, yes, no string) string {
	if is {
		return yes
	}
	return no
}

// withLabel writes a value after its label, "" if there is no value.
func withLabel(label, value string) string {
	if value == "" {
		return ""
	}
	return label + value
}

// designStep writes one go with a bottle.
func (h historyWriter) designStep(s journal.DesignStep) string {
	side := ""
	if s.Side != "" {
		side = " of side " + strings.ToUpper(s.Side)
	}
	return fmt.Sprintf("section %d%s: %s of %s", s.Section, side, h.formatVolume(s.ML), h.colourName(s.Colour))
}
