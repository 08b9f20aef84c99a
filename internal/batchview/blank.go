package batchview

import (
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
)

// BlankView is a label printed before its bag was closed: a numbered blank or the tag of a piece.
type BlankView struct {
	Number     string     `json:"number"` // "41", "41H"
	Code       string     `json:"code"`
	Address    string     `json:"address,omitempty"`
	TypedID    string     `json:"typed"`           // the id to type by hand
	Print      journal.ID `json:"print"`           // the fact that it was printed with
	Piece      journal.ID `json:"piece,omitempty"` // whose tag it is
	PieceWords string     `json:"what,omitempty"`  // the piece in words
	Bag        journal.ID `json:"bag,omitempty"`   // the bag it is attached to
}

// ViewBlanks returns the numbered blanks of s, or with tags the tags of its pieces, in
// the order in which they were printed.
func ViewBlanks(s batch.State, tags bool, e ViewEnv) []BlankView {
	out := []BlankView{}
	for _, x := range s.Blanks {
		if (x.Piece != "") == tags {
			out = append(out, viewBlank(s, x, e))
		}
	}
	return out
}

func viewBlank(s batch.State, x batch.BlankLabel, e ViewEnv) BlankView {
	l := label.Label{Number: x.Number, Letter: x.Letter, IsBlank: true, IsPieceTag: x.Piece != "", Token: batch.DecodeToken(x.Token)}
	v := BlankView{Number: formatBagNumber(x.Number, x.Letter), TypedID: l.Token.ID(), Print: x.PrintFact, Piece: x.Piece, PieceWords: singlePieceWords(s, x.Piece), Bag: x.Bag}
	v.Code, _ = label.Encode(l) // the number and the letter of a recorded blank are in range
	v.Address = label.Address(e.Host, v.Code)
	return v
}

// singlePieceWords names a single piece of s: "napkin, wedge".
func singlePieceWords(s batch.State, id journal.ID) string {
	p, ok := s.Piece(id)
	if !ok {
		return ""
	}
	if p.Fold == "" {
		return pieceWords(p, 1)
	}
	return pieceWords(p, 1) + ", " + foldOf(p.Fold).Words
}

// DraftBlanks returns the facts of count blanks with the next numbers of this phone. It
// returns a fault for more than MaxBlanks, and for more than the phone has numbers.
func DraftBlanks(s batch.State, e ViewEnv, count int) ([]journal.LabelNumberRange, error) {
	if count < 1 || count > batch.MaxBlanks {
		return nil, fault.New(fault.Input, "%d labels cannot be printed at a time", count).WithHint("from 1 to %d", batch.MaxBlanks)
	}
	runs, ok := s.Numbers.NextRanges(e.Device, e.NumberLetter, count)
	if !ok {
		return nil, fault.New(fault.Conflict, "this phone has fewer than %d numbers left for blanks", count).
			WithHint("it has %d: let it reach the program for more, or print on the computer", s.Numbers.FreeCount(e.Device))
	}
	return runs, nil
}

// LabelTarget is what a label leads to in a batch: a bag, the piece if it is the tag of
// one, or a free blank.
type LabelTarget struct {
	Bag        journal.ID   `json:"bag,omitempty"`
	Bags       []journal.ID `json:"bags,omitempty"` // for the tag of a piece that is in several bags
	Piece      journal.ID   `json:"piece,omitempty"`
	PieceWords string       `json:"what,omitempty"`  // the piece in words
	Blank      string       `json:"blank,omitempty"` // its number
}

// FindLabel returns what a label leads to. typed is an id as label.ParseID returns it and
// takes precedence over token. The result is empty if s has no such label.
func FindLabel(s batch.State, token, typed string) (f LabelTarget) {
	b, ok := s.BagByToken(token)
	x, blank := s.BlankByToken(token)
	if typed != "" {
		b, ok = s.BagByTypedID(typed)
		x, blank = find(s.Blanks, func(x batch.BlankLabel) bool { return batch.DecodeToken(x.Token).ID() == typed })
	}
	if ok {
		f.Bag = b.ID
	}
	if f.Piece, f.PieceWords = x.Piece, singlePieceWords(s, x.Piece); blank && !ok && x.Piece == "" {
		f.Blank = formatBagNumber(x.Number, x.Letter)
	}
	if in := s.BagsOf(x.Piece); len(in) > 1 { // nobody recorded which piece has the tag
		for _, b := range in {
			f.Bags = append(f.Bags, b.ID)
		}
	}
	return f
}

// FindBlank returns a free blank of s by what was scanned or typed: its address or code,
// its number, or its id. It returns a fault if there is no such blank, and if the blank is
// already on a bag.
func FindBlank(s batch.State, typed string) (batch.BlankLabel, error) {
	x, err := blankByInput(s, typed)
	if err != nil {
		return batch.BlankLabel{}, err
	}
	n := formatBagNumber(x.Number, x.Letter)
	if x.Piece != "" {
		return batch.BlankLabel{}, fault.New(fault.Conflict, "label %s is the tag of a piece, not a blank for a bag", n).At("blank", typed)
	}
	if b, on := s.Bag(x.Bag); on {
		return batch.BlankLabel{}, fault.New(fault.Conflict, "label %s is already on bag %s", n, formatBagNumber(b.Number, b.Letter)).At("blank", typed).
			WithHint("use another label, or undo that entry in the history")
	}
	return x, nil
}

// blankByInput returns the blank or tag that typed names, free or not.
func blankByInput(s batch.State, typed string) (batch.BlankLabel, error) {
	t := strings.ToUpper(strings.Join(strings.Fields(typed), ""))
	isWanted := func(x batch.BlankLabel) bool { return formatBagNumber(x.Number, x.Letter) == t }
	if code, ok := label.FindCode(typed); ok {
		l, err := label.Decode(code)
		if err != nil && !fault.Is(err, fault.Newer) {
			return batch.BlankLabel{}, err
		}
		token := hex.EncodeToString(l.Token[:])
		if b, ok := s.BagByToken(token); ok && !l.IsBlank {
			return batch.BlankLabel{}, fault.New(fault.Conflict, "this is the label of bag %s, not a blank", formatBagNumber(b.Number, b.Letter))
		}
		isWanted = func(x batch.BlankLabel) bool { return x.Token == token }
	} else if n, err := strconv.Atoi(strings.TrimRight(t, label.Letters)); err != nil || n < 1 {
		id, err := label.ParseID(typed)
		if err != nil {
			return batch.BlankLabel{}, fault.New(fault.Input, "%q is not the number of a blank", truncateText(typed)).At("blank", typed).
				WithHint("type the number on it, like 41, or the id under its code")
		}
		isWanted = func(x batch.BlankLabel) bool { return batch.DecodeToken(x.Token).ID() == id }
	}
	if x, ok := find(s.Blanks, isWanted); ok {
		return x, nil
	}
	return batch.BlankLabel{}, fault.New(fault.NotFound, "no blank %s was printed for this batch", truncateText(t)).At("blank", typed).
		WithHint("check the number on it; a phone that was out of range must reach the program once to know it")
}

// BagClosing is a bag about to be closed, and the blank that is attached to it, if any.
// The two are recorded together and have the same subject.
type BagClosing struct {
	Closed     journal.BagClosed `json:"closed"`
	BlankBound *journal.BagBound `json:"bound,omitempty"`
}

// DraftBag returns the facts that close a bag now: with the number of blank, which
// FindBlank finds, or with the next number of this phone if blank is empty.
func DraftBag(s batch.State, e ViewEnv, b journal.BagClosed, blank string) (BagClosing, error) {
	out := BagClosing{Closed: b}
	if blank != "" {
		x, err := FindBlank(s, blank)
		if err != nil {
			return BagClosing{}, err
		}
		out.Closed.Number, out.Closed.Letter = x.Number, x.Letter
		out.BlankBound = &journal.BagBound{Token: x.Token}
	} else {
		u, ok := s.Numbers.NextNumber(e.Device, e.NumberLetter)
		if !ok {
			return BagClosing{}, noBagNumberError()
		}
		out.Closed.Number, out.Closed.Letter = u.Number, u.Letter
	}
	if len(b.Colours) > 0 {
		out.Closed.Colours = evenShares(b.Colours)
	}
	return out, nil
}

// attachedNumbers returns the numbers of the blanks on b that differ from its own.
func attachedNumbers(s batch.State, b batch.Bag) (out []string) {
	for _, token := range b.BoundBlanks {
		x, ok := s.BlankByToken(token)
		if n := formatBagNumber(x.Number, x.Letter); ok && n != formatBagNumber(b.Number, b.Letter) && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}
