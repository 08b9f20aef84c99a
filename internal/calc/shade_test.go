package calc

import (
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

func mustShade(t *testing.T, inputs map[string]string) *Result {
	t.Helper()
	r, err := Run("shade", inputs, Env{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func hasNote(r *Result, words string) bool {
	return strings.Contains(strings.Join(r.Notes, "|"), words)
}

// Powder may weigh as much as the cloth and no more: the per cent of a depth are of the
// weight of the cloth.
func TestShadeUpToTheWeightOfTheCloth(t *testing.T) {
	for powder, ok := range map[string]bool{"99 g": true, "100 g": true, "101 g": false} {
		_, err := Run("shade", map[string]string{"powder": powder, "cloth": "100 g"}, Env{})
		if ok != (err == nil) || err != nil && fault.AsFault(err).Input != "powder" {
			t.Errorf("%s on 100 g of cloth: %v", powder, err)
		}
	}
}

// What the cloth takes up is a range until it is typed: then nothing is, and the advice to
// weigh a piece is gone.
func TestShadeWithATypedPickup(t *testing.T) {
	guessed := mustShade(t, map[string]string{"strength": "40 g/L", "cloth": "1 kg"})
	weighed := mustShade(t, map[string]string{"strength": "40 g/L", "cloth": "1 kg", "pickup": "80 %"})
	for _, key := range []string{"depth", "dye", "volume"} {
		if text := guessed.Outputs[key].Text; !strings.Contains(text, "–") {
			t.Errorf("%s is exact though the pick-up is a guess: %s", key, text)
		}
		if text := weighed.Outputs[key].Text; strings.Contains(text, "–") {
			t.Errorf("%s is a range though the pick-up was weighed: %s", key, text)
		}
	}
	const advice = "weigh one piece wrung"
	if !hasNote(guessed, advice) || hasNote(weighed, advice) {
		t.Errorf("guessed: %q; weighed: %q", guessed.Notes, weighed.Notes)
	}
}

// Dye that is too strong to be of use says so, however it was entered.
func TestShadeTooStrong(t *testing.T) {
	for _, row := range []struct {
		strength string
		strong   bool
	}{{"40 g/L", false}, {"150 g/L", true}, {"2 %", false}, {"15 %", true}} {
		r := mustShade(t, map[string]string{"strength": row.strength, "cloth": "1 kg", "pickup": "100 %"})
		if got := hasNote(r, "washes out"); got != row.strong {
			t.Errorf("%s: %q", row.strength, r.Notes)
		}
	}
}
