package batch

import (
	"encoding/binary"
	"encoding/hex"
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/label"
)

// MaxBlanks says how many blanks or tags are printed at a time.
const MaxBlanks = journal.MaxBlanks

// maxUndonePrinted is how many numbers of undone printings are looked at, for blanks that are attached to bags all the
// same (judgement: each costs a hash).
const maxUndonePrinted = 5000

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
			f.Blanks = append(f.Blanks, BlankLabel{})
		}
		f.printedNumbers[u] = now
		f.Blanks[now.place] = BlankLabel{Number: n, Letter: r.Letter, Token: f.blankToken(x, n, r.Letter), PrintFact: x.ID, Piece: piece}
	}
}

// blankToken is the token of one label of a printing. Only someone who knows the batch's secret can make it.
func (f *builder) blankToken(printing journal.Fact, n int, letter string) string {
	message := append(binary.BigEndian.AppendUint16(printing.Subject.Bytes(), uint16(n)), letter...)
	token := label.MakeToken(f.Secret.Bytes(), message)
	return hex.EncodeToString(token[:])
}

// dropForeignBlanks removes from the bags each token that no printing of the batch has, not even an undone one:
// a helper could bind a label of another batch, which would then lead to its own bag.
func (f *builder) dropForeignBlanks(all []journal.Fact) {
	isBound := func(b Bag) bool { return len(b.BoundBlanks) > 0 }
	if !slices.ContainsFunc(f.Bags, isBound) {
		return
	}
	printed := map[string]bool{}
	for _, x := range f.Blanks {
		printed[x.Token] = true
	}
	isForeign := func(token string) bool { return !printed[token] }
	if !slices.ContainsFunc(f.Bags, func(b Bag) bool { return slices.ContainsFunc(b.BoundBlanks, isForeign) }) {
		return
	}
	for _, x := range all {
		if x.Kind != journal.KindBlanksPrinted && x.Kind != journal.KindPieceTagged || x.CheckBody() != nil {
			continue
		}
		r, _ := journal.DecodeBody[journal.LabelNumberRange](x)
		for n := r.From; n <= r.To && len(printed) < len(f.Blanks)+maxUndonePrinted; n++ {
			printed[f.blankToken(x, n, r.Letter)] = true
		}
	}
	for i := range f.Bags {
		f.Bags[i].BoundBlanks = slices.DeleteFunc(f.Bags[i].BoundBlanks, isForeign)
	}
}

// attachLabels finds the bag of each blank. If phones that were apart attached one blank to two
// bags, the first bag to which an owner attached it keeps it, or else the first one, and both are reported.
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
				had := f.Blanks[j].Bag
				f.bag(had).NumberClashes, f.Bags[i].NumberClashes = true, true
				if f.boundByOwner[binding{f.Bags[i].ID, token}] && !f.boundByOwner[binding{had, token}] {
					f.Blanks[j].Bag = f.Bags[i].ID
				}
			}
		}
	}
	for i := range f.Bags {
		f.Bags[i].BoundBlanks = slices.DeleteFunc(f.Bags[i].BoundBlanks, func(token string) bool {
			j, known := at[token]
			return known && f.Blanks[j].Bag != f.Bags[i].ID
		})
	}
}

// dropEarlyFinish leaves a batch open that a helper finished while bags in it cure: nobody would be told when they are
// ready. The hub refuses that as well, but a helper may undo the opening of a bag afterwards.
func (f *builder) dropEarlyFinish() {
	if f.FinishedAt == 0 || f.isFinishedByOwner {
		return
	}
	if slices.ContainsFunc(f.Bags, func(b Bag) bool { return b.Stage() == "cure" }) {
		f.FinishedAt, f.FinishNote = 0, ""
	}
}

func DecodeToken(text string) (t label.Token) {
	if raw, err := hex.DecodeString(text); err == nil && len(raw) == len(t) {
		copy(t[:], raw)
	}
	return t
}
