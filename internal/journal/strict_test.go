package journal

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"testing"

	"coldbatch/internal/fault"
)

// oddFact is a row of testdata/exchange/odd-facts.json; %FF stands for a byte that is not
// UTF-8.
type oddFact struct {
	Why   string `json:"why"`
	Reads bool   `json:"reads"`
	Text  string `json:"text"`
}

func oddFacts(t testing.TB) (rows []oddFact) {
	t.Helper()
	text, err := os.ReadFile("../../testdata/exchange/odd-facts.json")
	if err == nil {
		err = json.Unmarshal(text, &rows)
	}
	if err != nil || len(rows) == 0 {
		t.Fatal(err, len(rows))
	}
	return rows
}

func (o oddFact) bytes() []byte { return bytes.ReplaceAll([]byte(o.Text), []byte("%FF"), []byte{0xff}) }

func TestReadFact(t *testing.T) {
	for _, o := range oddFacts(t) {
		f, err := ReadFact(o.bytes())
		if (err == nil) != o.Reads || err != nil && !fault.Is(err, fault.Input) {
			t.Errorf("%s: %s %v", o.Why, f.Text(), err)
		}
	}
}

// If ReadFact accepts a text, all readers get the same fact from it: both ways in which
// this package reads, and a browser, which parses the text and writes it again.
func FuzzReadFact(f *testing.F) {
	for _, o := range oddFacts(f) {
		f.Add(o.bytes())
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		got, err := ReadFact(bytes.Clone(text))
		if err != nil {
			return
		}
		var slow Fact
		if err := slow.parse(bytes.Clone(text)); err != nil || !sameFact(got, slow) {
			t.Errorf("%s\nreads as %+v\nor as %+v, %v", text, got, slow, err)
		}
		var parsed any
		if err := json.Unmarshal(text, &parsed); err != nil {
			t.Fatalf("%s is no JSON: %v", text, err)
		}
		again, err := encodeJSON(parsed)
		if err != nil {
			t.Fatal(err)
		}
		// What escapes or numbers with many digits make longer may pass a bound.
		browser, err := ReadFact(again)
		if len(again) <= len(text) && err != nil || err == nil && !sameFact(got, browser) {
			t.Errorf("%s\nreads as %+v\nafter a browser as %+v, %v", text, got, browser, err)
		}
	})
}

func sameFact(a, b Fact) bool {
	var x, y any
	if json.Unmarshal(a.Body, &x) != nil || json.Unmarshal(b.Body, &y) != nil || !reflect.DeepEqual(x, y) {
		return false
	}
	a.Body, a.raw, b.Body, b.raw = nil, nil, nil, nil
	return reflect.DeepEqual(a, b)
}
