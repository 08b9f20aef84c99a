package main

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/calltable"
	"coldbatch/internal/fault"
	"coldbatch/internal/sheet"
)

// runCall runs one call and wants no complaint.
func runCall(t testing.TB, name, body string) calltable.Answer {
	t.Helper()
	var a calltable.Answer
	text, _ := allCalls.Dispatch(name, body, nil, func(s string) { t.Errorf("complaint: %s", s) })
	if err := json.Unmarshal([]byte(text), &a); err != nil {
		t.Fatalf("%s answered %q: %v", name, text, err)
	}
	return a
}

func TestDispatch(t *testing.T) {
	for _, row := range []struct {
		why, name, body string
		code            fault.Code // "" a value
		says            string
	}{
		{"a call that is there", "unit.parse", `{"kind":"volume","typed":"8 fl oz"}`, "", "236.588"},
		{"a call of a newer page", "no.such", `{}`, fault.NotFound, "no.such"},
		{"a body that is not JSON", "unit.parse", `{`, fault.Input, "does not fit"},
		{"a body of another shape", "unit.parse", `[1]`, fault.Input, "does not fit"},
		{"no body is the empty one", "about", ``, "", "cacheVersion"},
		{"bad input names itself", "unit.parse", `{"kind":"volume","typed":"8 bananas"}`, fault.Input, "bananas"},
	} {
		a := runCall(t, row.name, row.body)
		text, _ := json.Marshal(a)
		switch {
		case row.code == "" && a.Error != nil, row.code != "" && (a.Error == nil || a.Error.Code != row.code):
			t.Errorf("%s: %s", row.why, text)
		case !strings.Contains(string(text), row.says):
			t.Errorf("%s: %s does not say %q", row.why, text, row.says)
		}
	}
}

// A call that panics must leave the core standing and not give its insides away.
func TestDispatchGuards(t *testing.T) {
	allCalls["test.panic"] = func(json.RawMessage, []byte) (any, []byte, error) { panic("secret") }
	defer delete(allCalls, "test.panic")
	var heard string
	text, _ := allCalls.Dispatch("test.panic", "{}", nil, func(s string) { heard = s })
	if !strings.Contains(text, `"internal"`) || strings.Contains(text, "secret") || !strings.Contains(heard, "secret") {
		t.Errorf("answered %s, complained %q", text, heard)
	}
}

// Bytes go in beside the JSON and come out beside it, and a call that fails returns none.
func TestDispatchCarriesBytes(t *testing.T) {
	allCalls["test.reverse"] = onBytes(func(q struct{ Fail bool }, in []byte) (int, []byte, error) {
		out := slices.Clone(in)
		slices.Reverse(out)
		if q.Fail {
			return 0, out, fault.New(fault.Input, "no")
		}
		return len(in), out, nil
	})
	defer delete(allCalls, "test.reverse")
	complain := func(s string) { t.Errorf("complaint: %s", s) }
	if text, out := allCalls.Dispatch("test.reverse", "", []byte{1, 2, 255}, complain); strings.TrimSpace(text) != `{"value":3}` || !slices.Equal(out, []byte{255, 2, 1}) {
		t.Errorf("gave %s and %v", text, out)
	}
	if text, out := allCalls.Dispatch("test.reverse", `{"fail":true}`, []byte{1}, complain); out != nil || !strings.Contains(text, `"error"`) {
		t.Errorf("a call that fails gave %s and %v", text, out)
	}
	photo := []byte("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08 8 × 8 pixels")
	if text, _ := allCalls.Dispatch("photo.hash", "{}", photo, complain); !strings.Contains(text, fmt.Sprintf("%x", sha256.Sum256(photo))) {
		t.Errorf("the hash is %s", text)
	}
	for _, wrong := range []string{"no photo", "\xff\xd8\xff\xc0\x00\x0b\x08\xff\xdc\xff\xdc 65500 × 65500 pixels"} {
		if text, _ := allCalls.Dispatch("photo.hash", "{}", []byte(wrong), complain); !strings.Contains(text, `"code":"input"`) {
			t.Errorf("%q is taken: %s", wrong, text)
		}
	}
}

// Every call must take an empty request without a panic: a page of another
// version may send one.
func TestEmptyRequests(t *testing.T) {
	for name := range allCalls {
		runCall(t, name, `{}`)
	}
}

func TestRandomFills(t *testing.T) {
	b := make([]byte, 70000) // more than the browser gives at once
	fillRandom(b)
	zeros := 0
	for _, x := range b[65536:] {
		if x == 0 {
			zeros++
		}
	}
	if zeros > 200 { // 17 expected
		t.Errorf("%d of %d bytes are zero", zeros, len(b)-65536)
	}
}

// BenchmarkCall prints what the phone waits for; run it under node to see the
// time in wasm.
func BenchmarkCall(b *testing.B) {
	facts := runCall(b, "example.facts", `{"now":1777726800000,"tz":"Europe/Lisbon"}`)
	text, _ := json.Marshal(facts.Value)
	text = append([]byte(`{"now":1777726800000,`), text[1:]...)
	state, _ := json.Marshal(runCall(b, "batch.build", string(text)).Value)
	for _, row := range []struct{ name, body string }{
		{"batch.build", string(text)},
		{"batch.view", `{"state":` + string(state) + `,"env":{"now":1777726800000}}`},
		{"today.view", `{"states":[` + string(state) + `],"env":{"now":1777726800000}}`},
	} {
		b.Run(row.name, func(b *testing.B) {
			for b.Loop() {
				runCall(b, row.name, row.body)
			}
		})
	}
}

// Paper is offered by the person's own system first, and told in both.
func TestStocksByStyle(t *testing.T) {
	for style, want := range map[string]string{`{"system":"us"}`: "letter-2.62x1", `{"system":"metric"}`: "a4-70x37", `{}`: "a4-70x37"} {
		var list []struct{ Name, Words, Also string }
		text, _ := json.Marshal(runCall(t, "papers.list", style).Value)
		if err := json.Unmarshal(text, &list); err != nil || len(list) != len(sheet.LabelPapers()) || list[0].Name != want {
			t.Errorf("%s: %s, %v", style, text, err)
			continue
		}
		for _, s := range list {
			if s.Words == "" || s.Also == "" {
				t.Errorf("%s: %+v", style, s)
			}
		}
	}
}
