package batchview

import (
	"strings"

	"coldbatch/internal/fault"
)

// lookAlikes are groups of capitals that are mistaken for each other on a wet cap (judgement).
var lookAlikes = []string{"OQDCG", "ILJ", "UV", "EF", "PR", "MNH", "SZ", "KX"}

// ChooseColourCaps returns two letters for the caps of a colour's bottles: the first letters of its
// two words, or the first and the last letter of its only word, which tell black (BK), blue (BE) and
// brown (BN) apart, where the first two do not. Caps that could be mistaken for one that is
// taken are left out. One letter alone, which could be a size, is never chosen.
func ChooseColourCaps(name string, taken []string) (string, error) {
	words := strings.FieldsFunc(strings.ToUpper(name), func(r rune) bool { return r < 'A' || r > 'Z' })
	all := strings.Join(words, "")
	if all == "" {
		all, words = "COLOUR", []string{"COLOUR"}
	}
	var tries []string
	if len(words) > 1 {
		tries = append(tries, words[0][:1]+words[1][:1])
	}
	for i := len(all) - 1; i > 0; i-- {
		if !strings.ContainsRune("AEIOU", rune(all[i])) || i == len(all)-1 {
			tries = append(tries, all[:1]+all[i:i+1])
		}
	}
	for r := 'A'; r <= 'Z'; r++ {
		tries = append(tries, all[:1]+string(r))
	}
	for _, t := range tries {
		if !isMistakable(t, taken) {
			return t, nil
		}
	}
	for r := 'A'; r <= 'Z'; r++ { // a different first letter is better than caps that can be mistaken
		for q := 'A'; q <= 'Z'; q++ {
			if t := string(r) + string(q); !isMistakable(t, taken) {
				return t, nil
			}
		}
	}
	return "", fault.New(fault.Conflict, "no pair of letters is left for %q", name).WithHint("enter your own letters")
}

// isMistakable says whether caps read like one of those taken.
func isMistakable(caps string, taken []string) bool {
	for _, t := range taken {
		if plainShape(t) == plainShape(caps) {
			return true
		}
	}
	return false
}

// plainShape writes the first of each group of look-alikes for all of them.
func plainShape(caps string) string {
	return strings.Map(func(r rune) rune {
		for _, group := range lookAlikes {
			if strings.ContainsRune(group, r) {
				return rune(group[0])
			}
		}
		return r
	}, caps)
}
