package batchview

import (
	"fmt"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/sheet"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

// SheetPaper is a size of paper for a batch sheet, in mm.
type SheetPaper struct {
	Name   string  `json:"name"`
	Width  float64 `json:"pageWidth"`
	Height float64 `json:"pageHeight"`
}

// SheetPapers lists the papers of a batch sheet: A4 by ISO 216, and US letter by ANSI/ASME Y14.1.
var SheetPapers = []SheetPaper{{"a4", 210, 297}, {"letter", 215.9, 279.4}}

// BatchSheet is a batch on sheets of paper: what was planned and what was done so far.
type BatchSheet struct {
	Name  string       `json:"name"` // of the batch
	Paper SheetPaper   `json:"paper"`
	Pages []sheet.Page `json:"pages"`
}

// LayOutBatchSheet lays a batch out on paper, as a4 or letter; "" is a4, or letter where the person
// uses US units. st is the shelf with its prices, its zero where there is none here.
func LayOutBatchSheet(s batch.State, st shelf.State, paper string, e ViewEnv) (BatchSheet, error) {
	if paper == "" {
		paper = SheetPapers[0].Name
		if e.Style.System == unit.US {
			paper = SheetPapers[1].Name
		}
	}
	p, ok := find(SheetPapers, func(p SheetPaper) bool { return p.Name == paper })
	if !ok {
		return BatchSheet{}, fault.New(fault.Input, "%q is not a paper for a batch sheet", paper).WithHint("a4 or letter")
	}
	return BatchSheet{s.Name, p, batchDocument(s, st, e).Pages(p.Width, p.Height)}, nil
}

// batchDocument writes what a batch sheet says, in the order of the job.
func batchDocument(s batch.State, st shelf.State, e ViewEnv) sheet.Document {
	grams, assumed := dryWeight(s)
	count := 0
	for _, p := range s.Pieces {
		count += p.Count
	}
	d := sheet.Document{Title: s.Name, Footer: "coldbatch: " + s.Name + ", printed " + e.formatDate(e.Now), Sub: joinNonEmpty("; ", "started "+e.formatDate(s.StartedAt),
		countWords(count, "piece", "pieces"), e.formatMass(grams)+" dry"+assumed, withLabel("wanted by ", e.dateOrNone(s)), s.Note)}
	add := func(heading string, rows []sheet.Row) {
		if len(rows) > 0 {
			d.Blocks = append(d.Blocks, sheet.Block{Heading: heading, Rows: rows})
		}
	}
	add("Pieces", pieceRows(s, e))
	add("Colours", colourRows(s, e))
	add("Soak", soakRows(s, e))
	var bags, results []sheet.Row
	for _, b := range s.Bags {
		if b.IsEmpty() {
			continue
		}
		bags = append(bags, bagRow(s, b, e))
		if text := resultText(s, b); text != "" {
			results = append(results, sheet.Row{Label: "Bag " + formatBagNumber(b.Number, b.Letter), Text: capitalize(text)})
		}
	}
	add("Bags", bags)
	add("Results", results)
	add("Cost", costRows(s, st, e))
	add("Cautions", []sheet.Row{{Text: capitalize(dye.DustCaution.Text) + "."}, {Text: cautionDye.Text}})
	return d
}

// costRows writes what the batch cost, none where no price is known.
func costRows(s batch.State, st shelf.State, e ViewEnv) []sheet.Row {
	c, _ := e.costOf(s, st, countPlan(s, st, []shelf.BatchUses{{Batch: s.ID, Uses: s.Uses}}, e))
	if c == nil {
		return nil
	}
	parts := []string{}
	for _, l := range c.Lines {
		parts = append(parts, l.Name+" "+l.Text)
	}
	return []sheet.Row{{Label: "One piece", Text: joinNonEmpty("; ", c.PerPiece, withLabel("to ask for it, with your margin: ", c.Price))},
		{Label: "All", Text: c.Total + ": " + joinNonEmpty("; ", strings.Join(parts, ", "), c.Incomplete)}}
}

func (e ViewEnv) dateOrNone(s batch.State) string {
	if s.Deadline == 0 {
		return ""
	}
	return e.formatDate(s.Deadline)
}

func pieceRows(s batch.State, e ViewEnv) (rows []sheet.Row) {
	for _, p := range s.Pieces {
		if p.Count <= 0 {
			continue
		}
		v := viewPiece(s, p, e)
		row := sheet.Row{Label: strconv.Itoa(p.Count) + " ×", Text: joinNonEmpty("; ", v.SingularWords, v.Weight, yesOrNo(p.IsScoured, "washed before dyeing", ""), strings.Join(v.Notes, "; "))}
		for _, c := range v.OwnColours {
			row.Colours = append(row.Colours, labelColour(s, c.ID, c.CapLetters, c.Name, c.RGB))
		}
		rows = append(rows, row)
		if v.Design != nil {
			rows = append(rows, sheet.Row{Label: "Design", Text: designText(v.Design)})
		}
	}
	return rows
}

func colourRows(s batch.State, e ViewEnv) (rows []sheet.Row) {
	for _, c := range s.Colours {
		v := viewJug(s, c, e)
		jug := v.MixedText
		if jug != "" {
			jug = joinNonEmpty(", ", "mixed: "+jug, v.OffText)
		} else {
			jug = "planned: " + v.Powder + " made up to " + v.Volume
		}
		rows = append(rows, sheet.Row{Label: c.CapLetters, Colours: []sheet.Colour{labelColour(s, c.ID, c.CapLetters, c.Name, c.RGB)},
			Text: joinNonEmpty("; ", c.Name, c.Generic, dye.Class(c.Class).Info().Words, e.formatStrength(c.Strength*c.Depth), jug)})
	}
	return rows
}

func soakRows(s batch.State, e ViewEnv) (rows []sheet.Row) {
	for i, b := range s.Soaks {
		ph, times := "", ""
		if b.PH != 0 {
			ph = fmt.Sprintf("pH %.1f by %s", b.PH, b.MeasuredWith)
		}
		if b.BegunAt != 0 {
			times = "pieces in " + e.formatDate(b.BegunAt)
			if b.EndedAt != 0 {
				times += ", out " + e.formatDate(b.EndedAt)
			}
		}
		rows = append(rows, sheet.Row{Label: "Soak " + strconv.Itoa(i+1), Text: joinNonEmpty("; ", e.formatMass(b.SodaGrams)+" of soda ash in "+e.formatVolume(b.WaterML),
			"mixed "+e.formatDate(b.MixedAt), ph, times, yesOrNo(b.IsDiscarded, "poured away", ""))})
	}
	if len(s.Soaks) == 0 && len(s.Pieces) > 0 {
		rows = append(rows, sheet.Row{Label: "Planned", Text: viewSoak(s, e).Text})
	}
	return rows
}

// bagRow writes what is in a bag, where it stood, and how it was cured and washed.
func bagRow(s batch.State, b batch.Bag, e ViewEnv) sheet.Row {
	row := sheet.Row{Label: "Bag " + formatBagNumber(b.Number, b.Letter)}
	var colours []string
	for _, c := range bagColours(s, b) {
		colours = append(colours, c.Name)
		row.Colours = append(row.Colours, labelColour(s, c.ID, c.CapLetters, c.Name, c.RGB))
	}
	if len(row.Colours) > 4 { // more leave too little room for the text
		row.Colours = row.Colours[:4]
	}
	evidence := evidenceOf(s, b, e)
	cure, weighed := "", ""
	if b.WeighedGrams > 0 {
		weighed = "weighed " + e.formatMass(b.WeighedGrams) + " wet"
	}
	switch {
	case evidence.Cure != nil:
		cure = fmt.Sprintf("cured %.0f h, %s of the usual time", evidence.Cure.Hours, formatPercent(evidence.Cure.Done))
	case b.OpenedAt != 0:
		cure = "opened " + e.formatDate(b.OpenedAt)
	default:
		if r := bagReadyTime(s, b, e); r.readyAt != 0 {
			cure = "ready about " + e.formatDate(r.readyAt)
		}
	}
	baths := ""
	if evidence.Baths != nil {
		baths = "rinsed in " + countWords(*evidence.Baths, "bath", "baths")
	}
	done := ""
	if b.DoneAt != 0 {
		done = "washed and dry " + e.formatDate(b.DoneAt)
	}
	row.Text = joinNonEmpty("; ", contentWords(s, b), strings.Join(colours, ", "), joinNonEmpty(", ", "closed "+e.formatDate(b.ClosedAt), e.stayNames(b)), weighed, cure, baths, done, b.Note)
	return row
}

// stayNames names the places where a bag stood, in order.
func (e ViewEnv) stayNames(b batch.Bag) string {
	var names []string
	for _, stay := range b.Stays {
		if name := e.Places[stay.Place].Name; name != "" && (len(names) == 0 || names[len(names)-1] != name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", then ")
}

// resultText writes how a bag and its pieces came out, and the colours that were read.
func resultText(s batch.State, b batch.Bag) string {
	var parts []string
	for _, r := range resultsOf(s, b) {
		parts = append(parts, ratingWords(r))
	}
	for _, x := range s.Readings {
		if x.Subject == b.ID {
			parts = append(parts, joinNonEmpty(", ", readingWords(x), washesWords(x)))
		}
	}
	return joinNonEmpty("; ", parts...)
}
