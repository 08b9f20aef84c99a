package sheet

import "testing"

// A size of one's own can be typed on in either system; a stock with a name has none.
func TestOwnSize(t *testing.T) {
	for name, want := range map[string]map[string][2]string{
		"62x29":    {"mm": {"62", "29"}, "in": {"2.44", "1.14"}},
		"2.5x1in":  {"mm": {"63.5", "25.4"}, "in": {"2.5", "1"}},
		"a4-70x37": nil,
	} {
		s, err := FindPaper(name)
		if err != nil {
			t.Fatal(err)
		}
		got := s.CustomSizeText()
		if len(got) != len(want) || got["mm"] != want["mm"] || got["in"] != want["in"] {
			t.Errorf("%s: %v, not %v", name, got, want)
		}
	}
}
