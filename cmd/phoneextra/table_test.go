package main

import (
	"encoding/json"
	"strings"
	"testing"

	"coldbatch/internal/calltable"
	"coldbatch/internal/fault"
)

// runCall runs one call and wants no complaint.
func runCall(t testing.TB, name, body string) calltable.Answer {
	t.Helper()
	var a calltable.Answer
	text, _ := extraCalls.Dispatch(name, body, nil, func(s string) { t.Errorf("complaint: %s", s) })
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
		{"a sum, in wasm as on the command line", "calc.run", `{"name":"bottle","inputs":{"strength":"6.2 g per 8 fl oz","bottle":"2 fl oz"}}`, "", "1.55"},
		{"a zone from a phone is checked", "calc.run", `{"name":"bottle","inputs":{},"env":{"zone":{"name":"x","changes":[{"from":0,"offset":999999}]}}}`, fault.Input, ""},
		{"a code that is no design", "fold.decode", `{"code":"not-a-design-of-ours"}`, fault.Input, ""},
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

// A photo that is smaller than it claims, and a body that is empty, are said to be wrong.
func TestEmptyRequests(t *testing.T) {
	for name := range extraCalls {
		runCall(t, name, `{}`)
	}
	a := runCall(t, "photo.readColour", `{"width":4000000,"height":4000000,"card":{"x":0.5,"y":0.5},"cloth":{"x":0.1,"y":0.1}}`)
	if a.Error == nil || a.Error.Code != fault.Input {
		t.Errorf("a photo without pixels: %+v", a)
	}
}

// BenchmarkCall prints what the phone waits for; run it under node to see the time in wasm.
func BenchmarkCall(b *testing.B) {
	for _, body := range []string{`{"name":"soak","inputs":{"water":"4 L"}}`, `{"name":"cure","inputs":{"temperature":"18 °C"}}`} {
		b.Run("calc.run", func(b *testing.B) {
			for b.Loop() {
				runCall(b, "calc.run", body)
			}
		})
	}
}
