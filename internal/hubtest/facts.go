package hubtest

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"time"

	"coldbatch/internal/journal"
)

// strangerDevice is a phone that wrote nothing. The last character of an id has two
// bits to spare, both zero.
const strangerDevice = "00000000000000000000000004"

// Facts asks the program for every fact it has, as a phone that is new to it would.
func (h *Hub) Facts() []journal.Fact {
	h.t.Helper()
	type cursor struct {
		Seq uint64 `json:"seq"`
		ID  string `json:"id"`
	}
	var all []journal.Fact
	var at *cursor
	for {
		var got struct {
			Facts  []journal.Fact  `json:"facts"`
			Cursor *cursor         `json:"cursor"`
			More   bool            `json:"more"`
			Error  json.RawMessage `json:"error"`
		}
		h.post("/api/v1/exchange", map[string]any{"device": strangerDevice, "now": time.Now().UnixMilli(), "cursor": at, "facts": []any{}}, &got)
		if got.Error != nil {
			h.t.Fatalf("exchange: %s", got.Error)
		}
		all = append(all, got.Facts...)
		if !got.More {
			return all
		}
		at = got.Cursor
	}
}

// CountFacts says how many facts of a kind the program has.
func (h *Hub) CountFacts(kind string) int {
	h.t.Helper()
	n := 0
	for _, f := range h.Facts() {
		if f.Kind == kind {
			n++
		}
	}
	return n
}

// PersonFacts returns the ids of all facts that a person wrote, in the program's order.
func (h *Hub) PersonFacts() []string {
	h.t.Helper()
	var ids []string
	for _, f := range h.Facts() {
		if f.Kind != journal.KindDeviceJoined && f.Kind != journal.KindNumbersLeased {
			ids = append(ids, string(f.ID))
		}
	}
	return ids
}

// Invite returns the digits of a new invitation, as the computer itself gets them.
func (h *Hub) Invite() (digits string) {
	h.t.Helper()
	var got struct {
		Digits string `json:"digits"`
	}
	if h.post("/api/v1/invite", struct{}{}, &got); got.Digits == "" {
		h.t.Fatal("the invitation has no digits")
	}
	return got.Digits
}

// post makes a call and reads the answer into v.
func (h *Hub) post(path string, body, v any) {
	h.t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		h.t.Fatal(err)
	}
	resp, err := http.Post(h.URL()+path, "application/json", bytes.NewReader(text))
	if err != nil {
		h.t.Fatal(err)
	}
	defer resp.Body.Close()
	if err := json.NewDecoder(resp.Body).Decode(v); err != nil {
		h.t.Fatalf("%s: %s %v", path, resp.Status, err)
	}
}

// SendReading sends a reading as a sensor does, and wants that status.
func (h *Hub) SendReading(token, celsius string, want int) {
	h.t.Helper()
	q, err := http.NewRequest("POST", h.URL()+"/api/v1/reading", strings.NewReader(celsius))
	if err != nil {
		h.t.Fatal(err)
	}
	q.Header.Set("Authorization", "Bearer "+token)
	resp, err := http.DefaultClient.Do(q)
	if err != nil {
		h.t.Fatal(err)
	}
	defer resp.Body.Close()
	if text, _ := io.ReadAll(resp.Body); resp.StatusCode != want {
		h.t.Errorf("a reading of %s: %s, not %d: %s", celsius, resp.Status, want, text)
	}
}
