package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strings"
	"testing"
)

// The page hands on what the hub answered, and gets what to write down.
func TestExchangeCalls(t *testing.T) {
	const device = "0000000000000000000000000g"
	fact := `{"id":"00000000000000000000000010","stamp":"019de8a1b2c30000","device":"` + device + `","scope":"shelf","subject":"00000000000000000000000010","kind":"stock.sniffed","v":3,"need":9,"at":1777719600000,"tz":"","later":"<b>","body":{}}`
	phone := `{"device":"` + device + `","cursor":{"seq":3,"id":"` + device + `"},"seen":"0000000000000000","whole":false}`
	for _, c := range []struct{ why, name, body, want string }{
		{"a fact goes out as it was written", "exchange.nextRequest", `{"phone":` + phone + `,"waiting":[` + fact + `],"lease":["` + device + `"]}`,
			`{"value":{"device":"` + device + `","cursor":{"seq":3,"id":"` + device + `"},"facts":[` + fact + `],"lease":[]}}`},
		{"an answer", "exchange.planAnswer", `{"phone":` + phone + `,"sent":[],"known":[],"answer":{"hub":{"id":"` + device + `"},"acks":[],"refused":[],"facts":[` + fact + `],"cursor":{"seq":4,"id":"00000000000000000000000010"},"more":true,"now":1777719600000,"later":{}}}`,
			`{"value":{"resend":false,"settle":[],"refuse":[],"leave":[],"keep":["00000000000000000000000010"],"phone":{"device":"` + device + `","cursor":{"seq":4,"id":"00000000000000000000000010"},"seen":"019de8a1b2c30000","whole":false,"latest":1777719600000},"more":true}}`},
		{"a shelf's fact is not told of clocks", "exchange.correctClocks", `{"waiting":[` + fact + `],"device":"` + device + `","offset":9999999}`, `{"value":[]}`},
		{"eight digits", "code.parse", `{"typed":"1234 5678"}`, `{"value":{"code":"12345678","digits":true}}`},
		{"a long code", "code.parse", `{"typed":"k7m2-q9x4-ttrw-9abc"}`, `{"value":{"code":"K7M2Q9X4TTRW9ABC"}}`},
	} {
		text, _ := allCalls.Dispatch(c.name, c.body, nil, func(s string) { t.Error(s) })
		if got := strings.TrimSpace(text); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.why, got, c.want)
		}
	}
	if a := runCall(t, "code.parse", `{"typed":"bananas"}`); a.Error == nil {
		t.Error("bananas is a code")
	}
}

// What a fact tells of a code is what the hub will work out of the code.
func TestNewCode(t *testing.T) {
	text, _ := json.Marshal(runCall(t, "code.new", "").Value)
	var c pairingCode
	if err := json.Unmarshal(text, &c); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256([]byte(c.Code))
	if len(c.Code) != 16 || strings.ReplaceAll(c.Grouped, "-", "") != c.Code || c.Hash != hex.EncodeToString(sum[:]) {
		t.Errorf("%+v", c)
	}
}
