package batchview

import (
	"cmp"
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/sheet"
	"coldbatch/internal/zone"
)

// LabelSelection says which labels of a batch to print. LabelKind is bags, blanks, tags (of pieces),
// bottles or bucket; "" is bags.
type LabelSelection struct {
	LabelKind  string       `json:"what"`
	Bags       []string     `json:"bags,omitempty"`      // by number, such as "8" or "8H"; none: all that are curing
	Unprinted  bool         `json:"unprinted,omitempty"` // only bags whose label is not printed yet, or is out of date
	PrintFacts []journal.ID `json:"prints,omitempty"`    // only blanks and tags of these printings; none: all that are free
	Colours    []journal.ID `json:"colours,omitempty"`   // only bottles of these; none: of all
	Copies     int          `json:"copies,omitempty"`    // of the label of each bottle and of the bucket; 0 is one
}

// LabelToPrint is one label to print; of a bag also what to record once it was.
type LabelToPrint struct {
	Text  sheet.LabelText `json:"tag"`
	Bag   journal.ID      `json:"bag,omitempty"`
	Code  string          `json:"code,omitempty"`
	Ready zone.Instant    `json:"ready,omitempty"`
}

// LabelLayoutRequest says which labels to print, and on what: Sheet is the name or the size of a
// label paper, StartPosition and CutLines are as in sheet.PrintJob.
type LabelLayoutRequest struct {
	LabelSelection
	Sheet         string `json:"sheet"`
	StartPosition int    `json:"start"`
	CutLines      bool   `json:"cut"`
	sheet.Options
}

// MaxLabels says how many labels can be laid out at a time. A batch has fewer bags, unless
// somebody floods it.
const MaxLabels = 1000

// LabelLayout has the labels on pages, what each had no room for, and the numbers of the bags that get none.
type LabelLayout struct {
	Paper      sheet.LabelPaper       `json:"paper"`
	Pages      []sheet.Page           `json:"-"`
	Labels     []LabelToPrint         `json:"labels"`
	Omitted    []sheet.LabelOmissions `json:"omitted"`
	Unlabelled []string               `json:"unlabelled,omitempty"`
}

// LayOut lays out the labels of s that o selects. The faults are those of SelectLabels, of
// sheet.FindPaper and of sheet.PrintJob.Pages.
func (o LabelLayoutRequest) LayOut(s batch.State, e ViewEnv) (out LabelLayout, err error) {
	if out.Paper, err = sheet.FindPaper(o.Sheet); err != nil {
		return out, err
	}
	if out.Labels, out.Unlabelled, err = SelectLabels(s, o.LabelSelection, e); err != nil {
		return out, err
	}
	job := sheet.PrintJob{Paper: out.Paper, StartPosition: o.StartPosition, CutLines: o.CutLines, Options: o.Options}
	for _, l := range out.Labels {
		job.Labels = append(job.Labels, l.Text)
	}
	out.Pages, out.Omitted, err = job.Pages()
	return out, err
}

// SelectLabels returns the labels of s that p selects, and the numbers of bags of which none can be made, for
// example because of a time that no label holds. It returns a fault if there are none or more than
// MaxLabels, and if p names a bag that is not in s, or one that gets no label.
func SelectLabels(s batch.State, p LabelSelection, e ViewEnv) (out []LabelToPrint, unlabelled []string, err error) {
	if p.Copies < 0 || p.Copies > batch.MaxBlanks {
		return nil, nil, fault.New(fault.Input, "%d labels cannot be printed at a time", p.Copies).WithHint("from 1 to %d", batch.MaxBlanks)
	}
	none := "no bag of this batch is curing: name those whose labels to print"
	switch p.LabelKind {
	case "", "bags":
		if p.Unprinted {
			none = "the labels of all bags are printed and up to date"
		}
		out, unlabelled, err = bagLabels(s, p, e)
	case "blanks", "tags":
		none = "no numbered blanks of this batch are free"
		for _, x := range ViewBlanks(s, p.LabelKind == "tags", e) {
			if len(out) > MaxLabels {
				break
			}
			if len(p.PrintFacts) > 0 && slices.Contains(p.PrintFacts, x.Print) || len(p.PrintFacts) == 0 && x.Bag == "" {
				out = append(out, LabelToPrint{Text: blankLabel(s, x)})
			}
		}
	case "bottles":
		none = "this batch has no colours yet"
		for _, c := range s.Colours {
			if len(p.Colours) > 0 && !slices.Contains(p.Colours, c.ID) {
				continue
			}
			t, err := BottleLabel(s, c.ID, e)
			if err != nil {
				return nil, nil, err
			}
			out = append(out, slices.Repeat([]LabelToPrint{{Text: t}}, max(1, p.Copies))...)
		}
	case "bucket":
		out = slices.Repeat([]LabelToPrint{{Text: BucketLabel(s, e)}}, max(1, p.Copies))
	default:
		return nil, nil, fault.New(fault.Input, "there is no kind of label %q", truncateText(p.LabelKind)).WithHint("bags, blanks, tags, bottles or bucket")
	}
	if err == nil && len(out) > MaxLabels {
		return nil, nil, fault.New(fault.Input, "this is more than %d labels", MaxLabels).WithHint("print fewer at a time: choose some bags, or only those without a label")
	}
	if err == nil && len(out) == 0 && len(unlabelled) > 0 {
		err = noLabel(strings.Join(label.GatherRuns(unlabelled), ", "))
	}
	if err == nil && len(out) == 0 {
		err = fault.New(fault.NotFound, "%s", none)
	}
	return out, unlabelled, err
}

func bagLabels(s batch.State, p LabelSelection, e ViewEnv) (out []LabelToPrint, unlabelled []string, err error) {
	for _, n := range p.Bags {
		n = strings.ToUpper(strings.TrimSpace(n))
		if !slices.ContainsFunc(s.Bags, func(b batch.Bag) bool { return formatBagNumber(b.Number, b.Letter) == n }) {
			return nil, nil, fault.New(fault.NotFound, "this batch has no bag %q", truncateText(n))
		}
	}
	bags := slices.Clone(s.Bags) // by number, so that the printed stack is in order
	slices.SortStableFunc(bags, func(a, b batch.Bag) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Letter, b.Letter))
	})
	for _, b := range bags {
		v := viewBag(s, b, e)
		switch {
		case len(p.Bags) > 0 && !slices.ContainsFunc(p.Bags, func(n string) bool { return strings.EqualFold(strings.TrimSpace(n), v.Number) }):
			continue
		case len(p.Bags) == 0 && v.Stage != "cure":
			continue
		case p.Unprinted && v.PrintReason == "":
			continue
		}
		if len(out) > MaxLabels { // says so below
			break
		}
		t, err := BagLabel(s, b.ID, e)
		if fault.Is(err, fault.Conflict) && len(p.Bags) == 0 { // one odd bag must not keep the others from their labels
			unlabelled = append(unlabelled, v.Number)
			continue
		}
		if err != nil {
			return nil, nil, err
		}
		out = append(out, LabelToPrint{Text: t, Bag: b.ID, Code: v.Code, Ready: v.ReadyAt})
	}
	return out, unlabelled, nil
}

// blankLabel returns the label of a numbered blank, with lines to write on, or the tag of
// a piece.
func blankLabel(s batch.State, x BlankView) sheet.LabelText {
	if x.Piece != "" {
		return sheet.LabelText{Number: x.Number, Time: x.TypedID, Piece: capitalize(x.PieceWords), Batch: s.Name, Address: x.Address}
	}
	return sheet.LabelText{Number: x.Number, Lines: []string{"ready about", "piece", "colours", "closed", "place"}, Caution: cautionBag.Text,
		TypedID: x.TypedID, Address: x.Address}
}
