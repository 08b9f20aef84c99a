package batchview

import (
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// DesignView is the design of pieces as the card at the table shows it.
type DesignView struct {
	Name   string                `json:"name"`
	Code   string                `json:"code"`   // as package fold reads it
	Steps  []DesignStepView      `json:"steps"`  // for one piece, in order
	Shares []journal.ColourInBag `json:"shares"` // of the dye, by colour
}

// DesignStepView is one go with a bottle.
type DesignStepView struct {
	Side     string     `json:"side"` // "side A", "all round"
	Section  int        `json:"section"`
	Colour   ColourView `json:"colour"`
	Volume   string     `json:"volume"`
	Squeezes string     `json:"squeezes,omitempty"` // "8 squeezes", where a bottle was measured
}

// viewDesign returns the design of a piece, nil for none.
func viewDesign(s batch.State, p batch.Piece, e ViewEnv) *DesignView {
	if p.Design == nil {
		return nil
	}
	v := DesignView{Name: p.Design.Name, Code: p.Design.Code, Steps: []DesignStepView{}, Shares: []journal.ColourInBag{}}
	ml, total := map[journal.ID]float64{}, 0.
	for _, step := range p.Design.Steps {
		c, ok := s.Colour(step.Colour)
		if !ok {
			continue // it was taken out of the batch
		}
		side := "all round"
		if step.Side != "" {
			side = "side " + strings.ToUpper(step.Side)
		}
		v.Steps = append(v.Steps, DesignStepView{side, step.Section, viewColour(c), e.formatVolume(step.ML), e.countSqueezes(step.ML)})
		ml[c.ID] += step.ML
		total += step.ML
	}
	for _, c := range s.Colours {
		if ml[c.ID] > 0 {
			v.Shares = append(v.Shares, journal.ColourInBag{Colour: c.ID, Share: ml[c.ID] / total})
		}
	}
	return &v
}

// countSqueezes says how many squeezes of the bottle give ml; "" where none was measured.
func (e ViewEnv) countSqueezes(ml float64) string {
	if e.SqueezeML <= 0 {
		return ""
	}
	return countWords(max(1, int(math.Round(ml/e.SqueezeML))), "squeeze", "squeezes")
}

// designText writes a design for a batch sheet: "for each piece: side A: 1 rust 40 mL, 2 …".
func designText(v *DesignView) string {
	var b strings.Builder
	side := ""
	for _, step := range v.Steps {
		if step.Side != side {
			side = step.Side
			b.WriteString("; " + side + ": ")
		} else {
			b.WriteString(", ")
		}
		b.WriteString(strconv.Itoa(step.Section) + " " + step.Colour.Name + " " + step.Volume)
	}
	return v.Name + ", each piece" + b.String()
}

// designDoses returns how much of each colour the design of a piece takes; nil where it has none.
func designDoses(p batch.Piece) map[journal.ID]float64 {
	if p.Design == nil {
		return nil
	}
	ml := map[journal.ID]float64{}
	for _, step := range p.Design.Steps {
		ml[step.Colour] += step.ML
	}
	return ml
}
