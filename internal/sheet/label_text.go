package sheet

// LabelText is the text of one label, in order of importance. The labels of bags, numbered
// blanks, pieces, bottles and the bucket differ only in which fields are set. An empty field
// takes no room.
type LabelText struct {
	Number     string   `json:"number"`            // huge and underlined: "12", "8H"; a bottle's cap letters
	TimeLead   string   `json:"lead,omitempty"`    // before the time: "ready about"
	Time       string   `json:"time,omitempty"`    // "Sat 2 May 20:25"
	ShortTime  string   `json:"short,omitempty"`   // the time where that is too long: "SAT 20:25"
	Condition  string   `json:"if,omitempty"`      // the condition of the time
	Piece      string   `json:"piece,omitempty"`   // what is in the bag
	Colours    []Colour `json:"colours,omitempty"` // letters and words
	ClosedText string   `json:"closed,omitempty"`
	Fold       string   `json:"fold,omitempty"`
	Batch      string   `json:"batch,omitempty"`
	Lines      []string `json:"lines,omitempty"`   // titles of lines to write on, the most important first
	Warning    string   `json:"warn,omitempty"`    // in white on black: "Not a drink"
	Caution    string   `json:"caution,omitempty"` // one sentence
	TypedID    string   `json:"typed,omitempty"`   // the id to type if the code cannot be read
	Address    string   `json:"address,omitempty"` // the address in the QR code
}

// plainTexts returns t with each string as one line, and its characters that no font has.
func (t LabelText) plainTexts() (LabelText, string) {
	t.Colours = append([]Colour(nil), t.Colours...)
	t.Lines = append([]string(nil), t.Lines...)
	unknown := ""
	each := func(s *string) {
		*s = cleanLine(*s)
		unknown = addUnknown(*s, unknown)
	}
	for _, s := range []*string{&t.Number, &t.TimeLead, &t.Time, &t.ShortTime, &t.Condition, &t.Piece, &t.ClosedText, &t.Fold, &t.Batch, &t.Warning, &t.Caution, &t.TypedID} {
		each(s)
	}
	for i := range t.Colours {
		each(&t.Colours[i].CapLetters)
		each(&t.Colours[i].Word)
	}
	for i := range t.Lines {
		each(&t.Lines[i])
	}
	return t, unknown
}

// The parts that are dropped from a small label, in this order. Number, time, warning,
// caution and id are never dropped.
const (
	dropWords = 1 + iota // of colours beyond three
	dropBatch
	dropFold
	dropClosed
	dropLines // the last of them, all but one
	dropAllWords
	dropColours
	dropPiece
	dropCondition
	dropLead
	dropCount
)

var droppedWords = [dropCount]string{dropWords: "the words of colours beyond three", dropBatch: "the batch", dropFold: "the fold", dropClosed: "when it was closed",
	dropLines: "some lines to write on", dropAllWords: "the words of the colours", dropColours: "the colours", dropPiece: "the piece",
	dropCondition: "the condition of the time", dropLead: "the words before the time"}

// dropName names what drop leaves out of t. On bottles and the bucket, which have a warning,
// the colour is a swatch and the piece is the content.
func (t LabelText) dropName(drop int) string {
	switch {
	case t.Warning != "" && drop == dropColours:
		return "the swatch"
	case t.Warning != "" && drop == dropPiece:
		return "the name of what is in it"
	}
	return droppedWords[drop]
}

// hasPart says whether t has what drop leaves out.
func (t LabelText) hasPart(drop int) bool {
	switch drop {
	case dropWords:
		return hasWord(t.Colours, 3)
	case dropBatch:
		return t.Batch != ""
	case dropFold:
		return t.Fold != ""
	case dropClosed:
		return t.ClosedText != ""
	case dropLines:
		return len(t.Lines) > 1
	case dropAllWords:
		return hasWord(t.Colours, 0)
	case dropColours:
		return len(t.Colours) > 0
	case dropPiece:
		return t.Piece != ""
	case dropCondition:
		return t.Condition != ""
	case dropLead:
		return t.TimeLead != "" && t.Time != ""
	}
	return false
}

// hasWord says whether a colour from index from on has its word.
func hasWord(colours []Colour, from int) bool {
	for i := from; i < len(colours); i++ {
		if colours[i].Word != "" {
			return true
		}
	}
	return false
}

// withoutPart returns t without what drop leaves out.
func (t LabelText) withoutPart(drop int) LabelText {
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
		t.ClosedText = ""
	case dropLines:
		t.Lines = t.Lines[:len(t.Lines)-1]
	case dropColours:
		t.Colours = nil
	case dropPiece:
		t.Piece = ""
	case dropCondition:
		t.Condition = ""
	case dropLead:
		t.TimeLead = ""
	}
	return t
}

// withPart returns t with what drop left out of full.
func (t LabelText) withPart(drop int, full LabelText) LabelText {
	switch drop {
	case dropWords, dropAllWords:
		if len(t.Colours) == 0 {
			return t
		}
		t.Colours = full.Colours
		if drop == dropAllWords {
			t.Colours = full.withoutPart(dropWords).Colours
		}
	case dropBatch:
		t.Batch = full.Batch
	case dropFold:
		t.Fold = full.Fold
	case dropClosed:
		t.ClosedText = full.ClosedText
	case dropLines:
		t.Lines = full.Lines[:len(t.Lines)+1]
	case dropColours:
		t.Colours = full.withoutPart(dropWords).withoutPart(dropAllWords).Colours
	case dropPiece:
		t.Piece = full.Piece
	case dropCondition:
		t.Condition = full.Condition
	case dropLead:
		t.TimeLead = full.TimeLead
	}
	return t
}
