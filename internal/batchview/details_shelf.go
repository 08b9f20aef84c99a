package batchview

import (
	"strconv"
	"strings"

	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// pieceMore returns what else is known of pieces.
func (h historyWriter) pieceMore(b journal.PieceMore) []string {
	out := []string{blendWords(b.Blend), h.colours(b.Colours), b.Note, withLabel("for ", b.Owner)}
	if b.Depth > 0 {
		out = append(out, h.depth(b.Depth))
	}
	if b.Price > 0 {
		out = append(out, "price of one "+formatNumber(b.Price))
	}
	return out
}

// blendWords names the fibres of a blend: "60 % cotton, 40 % polyester".
func blendWords(blend []journal.FibreShare) string {
	var parts []string
	for _, f := range blend {
		words := f.Fibre
		if info, known := goods.Fibre(f.Fibre).Info(); known {
			words = info.Words
		}
		parts = append(parts, formatPercent(f.Share)+" "+words)
	}
	return strings.Join(parts, ", ")
}

// colourMore returns what else is known of a colour.
func (h historyWriter) colourMore(b journal.ColourMore) []string {
	out := []string{h.optionalMass(b.Grams, "powder")}
	if b.OnCloth > 0 {
		out = append(out, formatNumber(b.OnCloth*100)+" % of the cloth")
	}
	if b.Holds > 0 {
		out = append(out, "bottles of "+h.formatVolume(b.Holds))
	}
	return append(out, countWords(b.Bottles, "bottle", "bottles"))
}

func (h historyWriter) dyeClass(class string) string {
	if class == "" {
		return ""
	}
	return dye.Class(class).Info().Words
}

// opened says when a jar was opened.
func (h historyWriter) opened(at zone.Instant) string {
	if at == 0 {
		return ""
	}
	return "opened " + h.formatTime(at)
}

// stockFigures returns the figures of a thing on the shelf.
func (h historyWriter) stockFigures(strength, division, holds, keep *float64) (out []string) {
	if strength != nil {
		out = append(out, h.formatStrength(*strength))
	}
	if division != nil {
		out = append(out, "steps of "+h.formatMass(*division))
	}
	if holds != nil {
		out = append(out, "holds "+h.formatVolume(*holds))
	}
	if keep != nil {
		out = append(out, "buy below "+formatNumber(*keep))
	}
	return out
}

func (h historyWriter) stockMoved(b journal.StockMoved) []string {
	price := ""
	if b.Price > 0 {
		price = "for " + strings.TrimSpace(strconv.FormatFloat(b.Price, 'f', -1, 64)+" "+b.Currency)
	}
	return []string{formatNumber(b.Amount), price, b.Note}
}
