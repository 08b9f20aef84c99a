package journal

import (
	"bytes"
	"encoding/json"
	"unicode/utf8"

	"coldbatch/internal/fault"
)

// ReadSavedFile reads a file that the app saved, of the form
// {"coldbatch": "facts", "version": 1, "facts": […]}. It gives the facts that read, and how
// many others there are: one that does not read holds up no other. name is the file's, for
// the sentence of a fault.
func ReadSavedFile(name string, text []byte) (facts []Fact, unread int, err error) {
	var saved struct {
		Coldbatch string            `json:"coldbatch"`
		Version   int               `json:"version"`
		Facts     []json.RawMessage `json:"facts"`
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // some editors put it at the beginning
	if !utf8.Valid(text) || json.Unmarshal(text, &saved) != nil || saved.Coldbatch != "facts" {
		return nil, 0, fault.New(fault.Damaged, "%s is not a journal that the app saved", name).
			WithHint("a file named like coldbatch-2026-05-02.json, saved under This phone")
	}
	if saved.Version != 1 {
		return nil, 0, fault.New(fault.Newer, "%s was saved by a newer version of the app", name).WithHint("update this program first")
	}
	facts = make([]Fact, 0, len(saved.Facts))
	for _, raw := range saved.Facts {
		f, err := ReadFact(raw)
		if err != nil {
			unread++
			continue
		}
		facts = append(facts, f)
	}
	return facts, unread, nil
}

// WriteSavedFile writes facts as such a file, each byte for byte as it is kept, one a line.
// Facts in the order of SortedByStamp give the same bytes wherever they are kept.
func WriteSavedFile(facts []Fact) []byte {
	var b bytes.Buffer
	b.WriteString(`{"coldbatch":"facts","version":1,"facts":[`)
	for i, f := range facts {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('\n')
		b.Write(f.Text())
	}
	b.WriteString("\n]}\n")
	return b.Bytes()
}
