package journal

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode"

	"coldbatch/internal/fault"
)

// Which characters are hidden is compared with the tables of package unicode: the controls
// (category Cc), and the marks of the property Bidi_Control.
func TestHiddenCharacters(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		want := unicode.Is(unicode.Cc, r) && r != '\t' && r != '\n' || unicode.Is(unicode.Bidi_Control, r)
		if got := isHidden(r); got != want {
			t.Fatalf("%U: hidden %v", r, got)
		}
	}
}

// A body is read without what is hidden, however it is written, and the fact keeps it.
func TestBodiesAreReadPlain(t *testing.T) {
	const clean = "Küche – “a” 👩‍🔬"
	for r := rune(0); r < 0x2100; r++ {
		if !isHidden(r) {
			continue
		}
		for why, text := range map[string]string{"as it is": string(r), "by its number": fmt.Sprintf(`\u%04x`, r)} {
			if why == "as it is" && r < ' ' {
				continue // JSON takes none
			}
			f := Fact{Kind: KindBatchFinished, Body: json.RawMessage(`{"note":"` + clean[:3] + text + clean[3:] + `"}`)}
			before := string(f.Body)
			b, ok := DecodeBody[NoteBody](f)
			if !ok || b.Note != clean || string(f.Body) != before {
				t.Fatalf("%U %s: %q %v", r, why, b.Note, ok)
			}
			if err := RejectHiddenCharacters(f); !fault.Is(err, fault.Input) || !strings.Contains(err.Error(), fmt.Sprintf("%U", r)) {
				t.Fatalf("%U %s: %v", r, why, err)
			}
		}
	}
	for _, body := range []string{`{"note":"` + clean + `"}`, `{"note":"two\nlines\tand \u00e9 \"more\""}`, `{"number":1234567890123456789,"x":1.50}`} {
		f := Fact{Kind: KindBatchFinished, Body: json.RawMessage(body)}
		if err := RejectHiddenCharacters(f); err != nil {
			t.Errorf("%s: %v", body, err)
		}
	}
	deep := Fact{Kind: KindBagClosed, Body: json.RawMessage(`{"typed":{"bath":[1,{"x\u202e":"y"}]}}`)}
	if err := RejectHiddenCharacters(deep); err == nil {
		t.Error("a hidden character deep inside is taken")
	}
}
