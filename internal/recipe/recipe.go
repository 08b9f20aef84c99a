// Package recipe brings a recipe to another size: twice the cloth, larger bottles,
// more of them. Call Parse, then RecipeItem.Scaled. Amounts scale; strengths,
// temperatures, times, shares and pH stay. It knows no dye.
package recipe

import (
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// RecipeItem is one line of a recipe: "rust 5 g", "soda ash 50 g/L", "bath 60 °C".
type RecipeItem struct {
	Name   string
	Kind   unit.Kind
	Amount float64 // in the base unit of Kind
}

// itemKinds are the kinds as which an amount is read, in the order in which a unit of
// several is taken.
var itemKinds = []unit.Kind{unit.KindMass, unit.KindVolume, unit.KindConcentration, unit.KindTemperature, unit.KindDuration, unit.KindCount, unit.KindPH, unit.KindShare}

// The bounds of a recipe.
const (
	maxItems      = 50
	maxNameLength = 40 // characters
)

// Parse reads the lines of a recipe, with semicolons between them: a name, then an
// amount with its unit. A name is given once. The error names the line that is
// wrong.
func Parse(typed string) ([]RecipeItem, error) {
	var items []RecipeItem
	for _, line := range unit.SplitList(typed) {
		item, ok := parseItem(line)
		if !ok {
			return nil, inputError("%q is not a name with an amount", line)
		}
		if len([]rune(item.Name)) > maxNameLength {
			return nil, inputError("the name %q is longer than %d characters", item.Name, maxNameLength)
		}
		for _, i := range items {
			if strings.EqualFold(i.Name, item.Name) {
				return nil, inputError("%q is in the recipe twice", item.Name)
			}
		}
		if items = append(items, item); len(items) > maxItems {
			return nil, inputError("there are more than %d lines", maxItems)
		}
	}
	if len(items) == 0 {
		return nil, inputError("there is nothing in %q", typed)
	}
	return items, nil
}

// parseItem splits a line where the longest amount begins.
func parseItem(line string) (RecipeItem, bool) {
	words := strings.Fields(strings.Replace(line, ":", " ", 1))
	for i := 1; i < len(words); i++ {
		amount := strings.Join(words[i:], " ")
		k, v, err := unit.ParseAny(itemKinds, amount)
		if err != nil || (k == unit.KindShare || k == unit.KindPH) && strings.Trim(amount, "0123456789.,") == "" {
			continue // a bare number is a number of pieces or nothing
		}
		name := strings.Join(words[:i], " ")
		return RecipeItem{Name: name, Kind: k, Amount: v}, !strings.ContainsFunc(name, func(r rune) bool { return r < ' ' })
	}
	return RecipeItem{}, false
}

// IsScaled says whether the amount grows with the size of the batch.
func (i RecipeItem) IsScaled() bool {
	switch i.Kind {
	case unit.KindMass, unit.KindVolume, unit.KindCount:
		return true
	}
	return false
}

// Scaled returns i for a batch factor times as large.
func (i RecipeItem) Scaled(factor float64) RecipeItem {
	if i.IsScaled() {
		i.Amount *= factor
	}
	return i
}

// ProportionSource is the source of the sums.
var ProportionSource = provenance.Source{Reliability: provenance.Memory, Text: "textbook algebra: amounts go in proportion; strengths, temperatures and times do not depend on size"}

func inputError(format string, args ...any) error {
	return fault.New(fault.Input, format, args...).WithHint("such as rust 5 g; soda ash 50 g/L; water 1 L; bath 40 °C")
}
