package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// The phone's core reads of a file the very facts that the hub takes.
func TestSavedFileWithOddFacts(t *testing.T) {
	text, err := os.ReadFile("../../testdata/exchange/odd-facts.json")
	if err != nil {
		t.Fatal(err)
	}
	var rows []struct {
		Why   string `json:"why"`
		Reads bool   `json:"reads"`
		Text  string `json:"text"`
	}
	if err := json.Unmarshal(text, &rows); err != nil {
		t.Fatal(err)
	}
	file := func(fact string) []byte {
		return []byte(`{"coldbatch":"facts","version":1,"facts":[` + strings.ReplaceAll(fact, "%FF", "\xff") + `]}`)
	}
	for _, row := range rows {
		s, _, err := readSaved(struct {
			Name string `json:"name"`
		}{"x.json"}, file(row.Text))
		if reads := err == nil && len(s.Facts) == 1 && s.UnreadableEntries == 0; reads != row.Reads {
			t.Errorf("%s: %+v %v", row.Why, s, err)
		}
	}
	for text, code := range map[string]fault.Code{`{`: fault.Damaged, `{"coldbatch":"recipes"}`: fault.Damaged, `{"coldbatch":"facts","version":2,"facts":[]}`: fault.Newer} {
		_, _, err := readSaved(struct {
			Name string `json:"name"`
		}{"x.json"}, []byte(text))
		if !fault.Is(err, code) || !strings.HasPrefix(err.Error(), "x.json is not") && code == fault.Damaged {
			t.Errorf("%s: %v", text, err)
		}
	}
}
