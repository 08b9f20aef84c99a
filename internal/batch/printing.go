package batch

import (
	"encoding/binary"
	"encoding/hex"

	"coldbatch/internal/journal"
	"coldbatch/internal/label"
)

// MaxBlanks is how many blanks or tags are printed at a time (judgement: some
// sheets of labels).
const MaxBlanks = 200

// printedNumber is the place of a label among the blanks, and whether its number was the
// printer's to use: a helper's only where it was leased.
type printedNumber struct {
	place      int
	isRightful bool
}

// applyPrinting reads one printing. A number that was printed before stands on that label,
// unless a helper printed it that may not use it.
func (f *builder) applyPrinting(x journal.Fact, piece journal.ID) {
	r, ok := journal.DecodeBody[journal.LabelNumberRange](x)
	if !ok {
		return
	}
	for n := r.From; n <= r.To; n++ {
		u := journal.UsedNumber{Number: n, Letter: r.Letter}
		before, known := f.printedNumbers[u]
		now := printedNumber{before.place, f.isOwner(x.Device) || f.Numbers.IsLeased(x.Device, u)}
		if known && (before.isRightful || !now.isRightful) {
			continue
		}
		if !known {
			now.place = len(f.Blanks)
			f.Blanks = append(f.Blanks, Blank{})
		}
		f.printedNumbers[u] = now
		message := append(binary.BigEndian.AppendUint16(x.Subject.Bytes(), uint16(n)), r.Letter...)
		token := label.MakeToken(f.Secret.Bytes(), message)
		f.Blanks[now.place] = Blank{Number: n, Letter: r.Letter, Token: hex.EncodeToString(token[:]), PrintFact: x.ID, Piece: piece}
	}
}

// attachLabels finds the bag of each blank. If phones that were apart attached one blank to two
// bags, the first bag keeps it and both are reported.
func (f *builder) attachLabels() {
	at := make(map[string]int, len(f.Blanks))
	for i, x := range f.Blanks {
		if x.Piece == "" {
			at[x.Token] = i
		}
	}
	for i := range f.Bags {
		for _, token := range f.Bags[i].BoundBlanks {
			j, known := at[token]
			switch {
			case !known:
			case f.Blanks[j].Bag == "":
				f.Blanks[j].Bag = f.Bags[i].ID
			default:
				f.bag(f.Blanks[j].Bag).NumberClashes, f.Bags[i].NumberClashes = true, true
			}
		}
	}
}

func DecodeToken(text string) (t label.Token) {
	if raw, err := hex.DecodeString(text); err == nil && len(raw) == len(t) {
		copy(t[:], raw)
	}
	return t
}
