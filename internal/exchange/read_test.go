package exchange

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

func TestRead(t *testing.T) {
	id := journal.NewID([16]byte{7})
	odd := []json.RawMessage{
		[]byte(`{"body":{"note":"a \"quoted\" ], } , [ { and \\"},"list":[1,[2,{}],"\\\""]}`),
		[]byte(`7`), []byte(`"],"`), []byte(`[]`), []byte(`null`), []byte(`"facts"`),
	}
	for _, facts := range [][]json.RawMessage{odd, odd[:1], {}} {
		want := Request{Device: id, Cursor: &Cursor{Seq: 9, FactID: id, Epoch: "e"}, Facts: facts, Lease: []journal.ID{id}}
		text, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		got, fast := parseRequestFast(text)
		if !fast || !reflect.DeepEqual(got, want) {
			t.Errorf("%s is read as %+v, %v", text, got, fast)
		}
		var spaced bytes.Buffer
		if err := json.Indent(&spaced, text, "", " "); err != nil {
			t.Fatal(err)
		}
		slow, err := ParseRequest(spaced.Bytes())
		if err != nil || slow.Device != id || len(slow.Facts) != len(facts) || len(slow.Lease) != 1 {
			t.Errorf("%s is read as %+v, %v", spaced.Bytes(), slow, err)
		}
	}
	for _, wrong := range []string{
		``, `{`, `[]`, `{"facts":[`, `{"facts":[}`, `{"facts":[,]}`, `{"facts":[1,]}`, `{"facts":[{]}`, `{"facts":["]}`, `{"facts":["\"]}`, `{"facts":["a]}`, `{"facts":[{"note":"a}]}`,
		`{"facts":[]`, `{"facts":[]}}`, `{"device":7,"facts":[]}`, `{"device":"x" "facts":[]}`, `{"facts":[]]}`, `{"facts":[1}}`,
	} {
		if r, err := ParseRequest([]byte(wrong)); !fault.Is(err, fault.Input) {
			t.Errorf("%s is read as %+v, %v", wrong, r, err)
		}
	}
	// A list of that name elsewhere is not the request's.
	for _, other := range []string{
		`{"device":"d","cursor":{"facts":[1,2]}}`, `{"device":"d","cursor":{"facts":[1,2]},"facts":[]}`, `{"facts":[1,2],"facts":[3]}`,
	} {
		var want Request
		if err := json.Unmarshal([]byte(other), &want); err != nil {
			t.Fatal(err)
		}
		if got, err := ParseRequest([]byte(other)); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s is read as %+v, %v, not %+v", other, got, err, want)
		}
	}
}

// A request that encoding/json reads is read the same, and nothing panics.
func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"device":"d","cursor":null,"facts":[{"id":"\\\"","body":{}},7],"lease":["b"]}`))
	f.Add([]byte(`{"cursor":{"seq":1,"id":"x"},"lease":[],"facts":[ {"a":[1,2]} , "]" ]}`))
	f.Add([]byte(`{"facts":[],"Facts":[1]}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, err := ParseRequest(body)
		var want Request
		if json.Unmarshal(body, &want) != nil {
			return // then a part may be no JSON: that is told where it is read
		}
		if strings.Count(strings.ToLower(string(body)), "facts") > 1 || strings.Contains(string(body), `\u`) {
			return // of several the last counts, which no phone sends
		}
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("%s is read as %+v, %v, not %+v", body, got, err, want)
		}
	})
}
