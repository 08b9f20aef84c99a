package main

import (
	"encoding/json"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
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
		s, _, err := readSaved(readQuery{Name: "x.json"}, file(row.Text))
		if reads := err == nil && len(s.Facts) == 1 && s.UnreadableEntries == 0; reads != row.Reads {
			t.Errorf("%s: %+v %v", row.Why, s, err)
		}
	}
	for text, code := range map[string]fault.Code{`{`: fault.Damaged, `{"coldbatch":"recipes"}`: fault.Damaged, `{"coldbatch":"facts","version":2,"facts":[]}`: fault.Newer} {
		_, _, err := readSaved(readQuery{Name: "x.json"}, []byte(text))
		if !fault.Is(err, code) || !strings.HasPrefix(err.Error(), "x.json is not") && code == fault.Damaged {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// A file that somebody made up has entries in the owner's name: one shuts a phone out, one
// opens a batch to a code, and one takes back the removal of a phone, for which it pretends
// to be a mere look at a bag. The core names them all, and nothing else.
func TestSavedFileThatDecidesAccess(t *testing.T) {
	id := func(n int) journal.ID {
		return journal.ID(strconv.Itoa(n) + strings.Repeat("0", 25))
	}
	n := 0
	fact := func(kind, body string) journal.Fact {
		n++
		return journal.Fact{ID: id(n), Stamp: journal.NewStamp(journal.Stamp{}, 1777719600000), Device: id(0), Scope: journal.HouseScope, Subject: id(0),
			Kind: kind, Version: 1, NeededVersion: 1, At: 1777719600000, TZ: "UTC", Body: []byte(body)}
	}
	removal := fact(journal.KindDeviceRevoked, `{}`)
	pretended := removal
	pretended.Kind = journal.KindBagLooked
	facts := []journal.Fact{
		pretended,
		fact(journal.KindDeviceRevoked, `{}`),
		fact(journal.KindShareOpened, `{}`),
		fact(journal.KindFactWithdrawn, `{"target":"`+string(removal.ID)+`"}`),
		fact(journal.KindBagLooked, `{}`),
		fact(journal.KindFactRestored, `{"target":"`+string(id(5))+`"}`),
	}
	text, err := json.Marshal(map[string]any{"coldbatch": "facts", "version": 1, "facts": facts})
	if err != nil {
		t.Fatal(err)
	}
	s, _, err := readSaved(readQuery{Name: "x.json"}, text)
	if err != nil || len(s.Facts) != len(facts) || !slices.Contains(s.Targets, removal.ID) {
		t.Fatalf("%+v, %v", s, err)
	}
	s, _, err = readSaved(readQuery{Name: "x.json", Known: []journal.Fact{removal}}, text)
	if want := []journal.ID{id(2), id(3), id(4)}; err != nil || !slices.Equal(s.Access, want) {
		t.Errorf("these decide access: %v, want %v; %v", s.Access, want, err)
	}
}
