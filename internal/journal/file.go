package journal

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"unicode/utf8"

	"coldbatch/internal/fault"
)

// maxUnread says how many entries of a saved file may not read (judgement): more are no damage but a made-up file,
// and would fill the memory.
const maxUnread = 100_000

// savedFacts is what reads of the list of facts in a saved file. The list is read entry by entry.
type savedFacts struct {
	facts  []Fact
	unread int
}

func (s *savedFacts) UnmarshalJSON(text []byte) error {
	d := json.NewDecoder(bytes.NewReader(text))
	if t, err := d.Token(); err != nil || t != json.Delim('[') {
		return cmp.Or(err, errors.New("this is not a list"))
	}
	for d.More() && s.unread <= maxUnread {
		var raw json.RawMessage
		if err := d.Decode(&raw); err != nil {
			return err
		}
		if f, err := ReadFact(raw); err == nil {
			s.facts = append(s.facts, f)
		} else {
			s.unread++
		}
	}
	return nil
}

// ReadSavedFile reads a file that the app saved, of the form
// {"coldbatch": "facts", "version": 1, "facts": […]}. It returns the facts that it could read,
// and the number of those that it could not; a bad fact does not stop it from reading the others.
// name is the name of the file, for the sentence of a fault.
func ReadSavedFile(name string, text []byte) (facts []Fact, unread int, err error) {
	var saved struct {
		Coldbatch string     `json:"coldbatch"`
		Version   int        `json:"version"`
		Facts     savedFacts `json:"facts"`
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // some editors put it at the beginning
	if !utf8.Valid(text) || json.Unmarshal(text, &saved) != nil || saved.Coldbatch != "facts" || saved.Facts.unread > maxUnread {
		return nil, 0, fault.New(fault.Damaged, "%s is not a journal that the app saved", name).
			WithHint("a file named like coldbatch-2026-05-02.json, saved under This phone")
	}
	if saved.Version != 1 {
		return nil, 0, fault.New(fault.Newer, "%s was saved by a newer version of the app", name).WithHint("update this program first")
	}
	return saved.Facts.facts, saved.Facts.unread, nil
}

// WriteSavedFile writes facts to a file that ReadSavedFile can read, each byte for byte as it is stored, one per line.
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
