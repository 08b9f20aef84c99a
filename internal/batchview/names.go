package batchview

import (
	"math"
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// undoTarget names the fact that was withdrawn or restored.
func (h historyWriter) undoTarget(b journal.FactTarget) []string {
	f, known := h.facts[b.Target]
	switch {
	case !known:
		return []string{"an entry that is not here"}
	case isUndo(f):
		return []string{journal.KindWords(f.Kind)}
	}
	return []string{"“" + h.line(f) + "”"}
}

// deadline says when a batch is wanted.
func (h historyWriter) deadline(at zone.Instant) string {
	if at == 0 {
		return ""
	}
	return "wanted by " + h.formatDate(at)
}

// rinsing says when the bags are to be rinsed.
func (h historyWriter) rinsing(at zone.Instant) string {
	if at == 0 {
		return ""
	}
	return "to rinse " + h.formatDate(at)
}

// pieceKind names the kind of a piece that has a name of its own.
func (h historyWriter) pieceKind(kind, name string) string {
	if name == "" {
		return ""
	}
	return goods.Kind(kind).Info().Words
}

func (h historyWriter) pieceWeight(grams float64, assumed bool) string {
	return h.formatMass(grams) + " each" + yesOrNo(assumed, ", assumed", "")
}

// cloth returns the fibre with its share of a blend, and the fold.
func (h historyWriter) cloth(fibre string, share float64, fold string) []string {
	words := fibre
	if info, known := goods.Fibre(fibre).Info(); known {
		words = info.Words
	}
	if share > 0 {
		words = strings.TrimSpace(formatPercent(share) + " " + words)
	}
	return []string{words, foldOf(fold).Words}
}

// optionalTemperature returns a temperature, "" if it was not measured.
func (h historyWriter) optionalTemperature(celsius *float64) string {
	if celsius == nil {
		return ""
	}
	return h.formatTemperature(*celsius)
}

// printing returns the numbers of the printed blanks or tags, and the paper.
func (h historyWriter) printing(b journal.LabelNumberRange) []string {
	return []string{formatBagNumber(b.From, b.Letter) + " to " + formatBagNumber(b.To, b.Letter), b.Sheet}
}

func (h historyWriter) depth(depth float64) string {
	if depth == 1 {
		return ""
	}
	return formatPercent(depth) + " depth"
}

func (h historyWriter) volumeToMake(ml float64) string {
	if ml == 0 {
		return ""
	}
	return h.formatVolume(ml) + " to make"
}

func (h historyWriter) soakMixed(b journal.SoakMixed) []string {
	form := ""
	if b.Form != "" && b.Form != string(alkali.Anhydrous) {
		form = b.Form
	}
	return []string{h.formatMass(b.SodaGrams) + " of soda ash in " + h.formatVolume(b.WaterML), form, h.optionalTemperature(b.Celsius), h.hardness(b.Hardness)}
}

// hardness writes the hardness of water, "" for 0, which is not known.
func (h historyWriter) hardness(mgPerL float64) string {
	if mgPerL == 0 {
		return ""
	}
	return "water of " + unit.Show(unit.KindHardness, mgPerL, h.Style)
}

func (h historyWriter) soakPieces(b journal.SoakPieces) []string {
	var names []string
	for _, id := range b.Pieces {
		names = append(names, h.pieceName(id, 1))
	}
	return []string{strings.Join(names, " and ")}
}

// optionalVolume returns an amount in mL, "" for none.
func (h historyWriter) optionalVolume(ml float64) string {
	if ml == 0 {
		return ""
	}
	return h.formatVolume(ml)
}

// optionalMass returns an amount in grams of an ingredient, "" for 0 g.
func (h historyWriter) optionalMass(grams float64, of string) string {
	if grams == 0 {
		return ""
	}
	return h.formatMass(grams) + " of " + of
}

func (h historyWriter) seconds(s float64) string {
	if s == 0 {
		return ""
	}
	return unit.Show(unit.KindDuration, s, h.Style)
}

// inBag returns what is in a bag, its place and the temperature there.
func (h historyWriter) inBag(pieces []journal.PieceInBag, colours []journal.ColourInBag, fold string, place journal.ID, celsius *float64, note string) []string {
	return []string{h.pieces(pieces), foldOf(fold).Words, h.colours(colours), h.placeName(place), h.optionalTemperature(celsius), note}
}

func (h historyWriter) pieces(list []journal.PieceInBag) string {
	var names []string
	for _, p := range list {
		names = append(names, h.pieceName(p.Piece, p.Count))
	}
	return strings.Join(names, " and ")
}

func (h historyWriter) colours(list []journal.ColourInBag) string {
	var names []string
	for _, c := range list {
		name := h.colourName(c.Colour)
		if len(list) > 1 && c.Share > 0 {
			name = formatPercent(math.Round(c.Share*100)/100) + " " + name
		}
		names = append(names, name)
	}
	return strings.Join(names, " and ")
}

func (h historyWriter) pieceName(id journal.ID, n int) string {
	if p, known := h.Piece(id); known {
		return pieceWords(p, n)
	}
	return "a piece that was withdrawn"
}

func (h historyWriter) colourName(id journal.ID) string {
	if c, known := h.Colour(id); known && c.Name != "" {
		return c.Name
	}
	return "a colour"
}

// jugName names a jug by its colour.
func (h historyWriter) jugName(id journal.ID) string {
	for _, j := range h.Jugs {
		if j.ID == id {
			return "jug of " + h.colourName(j.Colour)
		}
	}
	return ""
}

func (h historyWriter) bagName(id journal.ID) string {
	if id == "" {
		return ""
	}
	if b, known := h.Bag(id); known {
		return "bag " + formatBagNumber(b.Number, b.Letter)
	}
	return "a bag that was withdrawn"
}

// bagNames names bags: "bags 1 to 3 and 5".
func (h historyWriter) bagNames(list []journal.ID) string {
	var names, numbers []string
	for _, id := range list {
		names = append(names, h.bagName(id))
		if b, known := h.Bag(id); known {
			numbers = append(numbers, formatBagNumber(b.Number, b.Letter))
		}
	}
	if len(numbers) < 2 || len(numbers) < len(list) {
		return strings.Join(names, " and ")
	}
	return "bags " + joinNumbers(numbers)
}

func (h historyWriter) placeName(id journal.ID) string {
	if name := h.Places[id].Name; name != "" {
		return "“" + name + "”"
	}
	return ""
}
