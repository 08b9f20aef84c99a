package sheet

// LabelText is what one label says, in the order of importance; a label of a bag, a
// numbered blank, a piece's own tag, a bottle's and a bucket's differ only in what
// is filled in. What is empty takes no room.
type LabelText struct {
	Number  string   `json:"number"`            // huge and underlined: "12", "8H"; a bottle's cap letters
	Lead    string   `json:"lead,omitempty"`    // before the time: "ready about"
	Time    string   `json:"time,omitempty"`    // "Sat 2 May 20:25"
	Short   string   `json:"short,omitempty"`   // the time where that is too long: "SAT 20:25"
	If      string   `json:"if,omitempty"`      // what the time rests on
	Piece   string   `json:"piece,omitempty"`   // what is in the bag
	Colours []Colour `json:"colours,omitempty"` // letters and words
	Closed  string   `json:"closed,omitempty"`
	Fold    string   `json:"fold,omitempty"`
	Batch   string   `json:"batch,omitempty"`
	Lines   []string `json:"lines,omitempty"`   // what is written on it by pencil, the most important first
	Warn    string   `json:"warn,omitempty"`    // in white on black: "Not a drink"
	Caution string   `json:"caution,omitempty"` // one sentence
	Typed   string   `json:"typed,omitempty"`   // the id, for whom the code does not read
	Address string   `json:"address,omitempty"` // what the code says
}

// plain gives t with each string as one line, and the characters of it that no
// face has.
func (t LabelText) plain() (LabelText, string) {
	t.Colours = append([]Colour(nil), t.Colours...)
	t.Lines = append([]string(nil), t.Lines...)
	unknown := ""
	each := func(s *string) {
		*s = plain(*s)
		unknown = strange(*s, unknown)
	}
	for _, s := range []*string{&t.Number, &t.Lead, &t.Time, &t.Short, &t.If, &t.Piece, &t.Closed, &t.Fold, &t.Batch, &t.Warn, &t.Caution, &t.Typed} {
		each(s)
	}
	for i := range t.Colours {
		each(&t.Colours[i].Caps)
		each(&t.Colours[i].Word)
	}
	for i := range t.Lines {
		each(&t.Lines[i])
	}
	return t, unknown
}

// The parts of a tag that a small label may go without, in the order in which they
// are dropped. Number, time, warning, caution and id are not among them.
const (
	dropWords = 1 + iota // of colours beyond three
	dropBatch
	dropFold
	dropClosed
	dropLines // the last of them, all but one
	dropAllWords
	dropColours
	dropPiece
	dropIf
	dropLead
	drops
)

var dropped = [drops]string{dropWords: "the words of colours beyond three", dropBatch: "the batch", dropFold: "the fold", dropClosed: "when it was closed",
	dropLines: "some lines to write on", dropAllWords: "the words of the colours", dropColours: "the colours", dropPiece: "the piece",
	dropIf: "what the time rests on", dropLead: "the words before the time"}

// names says what drop leaves out of t. On a bottle and the bucket, which warn, the
// colour is a swatch and the piece what is in it.
func (t LabelText) names(drop int) string {
	switch {
	case t.Warn != "" && drop == dropColours:
		return "the swatch"
	case t.Warn != "" && drop == dropPiece:
		return "the name of what is in it"
	}
	return dropped[drop]
}

// has says whether t has what drop leaves out.
func (t LabelText) has(drop int) bool {
	switch drop {
	case dropWords:
		return worded(t.Colours, 3)
	case dropBatch:
		return t.Batch != ""
	case dropFold:
		return t.Fold != ""
	case dropClosed:
		return t.Closed != ""
	case dropLines:
		return len(t.Lines) > 1
	case dropAllWords:
		return worded(t.Colours, 0)
	case dropColours:
		return len(t.Colours) > 0
	case dropPiece:
		return t.Piece != ""
	case dropIf:
		return t.If != ""
	case dropLead:
		return t.Lead != "" && t.Time != ""
	}
	return false
}

// worded says whether a colour from from on has its word.
func worded(colours []Colour, from int) bool {
	for i := from; i < len(colours); i++ {
		if colours[i].Word != "" {
			return true
		}
	}
	return false
}

// without gives t less what drop leaves out.
func (t LabelText) without(drop int) LabelText {
	switch drop {
	case dropWords, dropAllWords:
		from := 0
		if drop == dropWords {
			from = 3
		}
		t.Colours = append([]Colour(nil), t.Colours...)
		for i := from; i < len(t.Colours); i++ {
			t.Colours[i].Word = ""
		}
	case dropBatch:
		t.Batch = ""
	case dropFold:
		t.Fold = ""
	case dropClosed:
		t.Closed = ""
	case dropLines:
		t.Lines = t.Lines[:len(t.Lines)-1]
	case dropColours:
		t.Colours = nil
	case dropPiece:
		t.Piece = ""
	case dropIf:
		t.If = ""
	case dropLead:
		t.Lead = ""
	}
	return t
}

// with gives t with what drop left out of full.
func (t LabelText) with(drop int, full LabelText) LabelText {
	switch drop {
	case dropWords, dropAllWords:
		if len(t.Colours) == 0 {
			return t
		}
		t.Colours = full.Colours
		if drop == dropAllWords {
			t.Colours = full.without(dropWords).Colours
		}
	case dropBatch:
		t.Batch = full.Batch
	case dropFold:
		t.Fold = full.Fold
	case dropClosed:
		t.Closed = full.Closed
	case dropLines:
		t.Lines = full.Lines[:len(t.Lines)+1]
	case dropColours:
		t.Colours = full.without(dropWords).without(dropAllWords).Colours
	case dropPiece:
		t.Piece = full.Piece
	case dropIf:
		t.If = full.If
	case dropLead:
		t.Lead = full.Lead
	}
	return t
}
