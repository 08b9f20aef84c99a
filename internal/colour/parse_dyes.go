package colour

import (
	"strings"

	"coldbatch/internal/fault"
)

// maxDyes says how many dyes a list may name.
const maxDyes = 20

// ParseWanted reads a wanted colour: what Parse reads, or a plain word of Words.
func ParseWanted(typed string) (Lab, error) {
	if c, ok := LabOfWord(strings.ToLower(strings.TrimSpace(typed))); ok {
		return c, nil
	}
	c, _, err := Parse(typed)
	if err != nil {
		return Lab{}, fault.New(fault.Input, "%q is not a colour", typed).
			WithHint("lab 52.3 41 -8, #b3433a, or a word such as rust or blue-green")
	}
	return c, nil
}

// ParseDye reads a dye: a Colour Index name that Find knows, or a swatch "#b3433a" of
// cotton with 1 % of it bonded.
func ParseDye(typed string) (*Dye, error) {
	name := strings.TrimSpace(typed)
	if !strings.HasPrefix(name, "#") {
		return Find(name)
	}
	swatch, _, err := Parse(name)
	if err != nil {
		return nil, err
	}
	return FromSwatch(name, swatch, 1)
}

// ParseDyes reads dyes separated by semicolons, each once; an empty list returns all of Dyes.
func ParseDyes(typed string) (dyes []*Dye, err error) {
	if strings.TrimSpace(typed) == "" {
		return Dyes(), nil
	}
	names := map[string]bool{}
	for part := range strings.SplitSeq(typed, ";") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		d, err := ParseDye(part)
		if err != nil {
			return nil, err
		}
		if names[d.Name] {
			return nil, fault.New(fault.Input, "%q is listed twice", d.Name)
		}
		names[d.Name] = true
		dyes = append(dyes, d)
	}
	if len(dyes) == 0 || len(dyes) > maxDyes {
		return nil, fault.New(fault.Input, "%d dyes cannot be used at once", len(dyes)).WithHint("1 to %d, separated by semicolons", maxDyes)
	}
	return dyes, nil
}
