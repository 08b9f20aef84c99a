// Package cause says what in a bag's own figures probably made a fault: pale, patchy, white
// inside, bled, muddy, stiff, wrong hue. Call Explain with what the record holds and the
// faults that were seen. Each cause is one row of Rules: what it can make, how far the
// figure must be off, what to do next time, and where the rule comes from. It knows nothing
// of facts: package batchview makes the Evidence.
package cause

import (
	"slices"
	"strings"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/provenance"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
)

// Fault is what is wrong with a piece.
type Fault string

// The faults.
const (
	Pale        Fault = "pale"
	Patchy      Fault = "patchy"
	WhiteInside Fault = "white-inside"
	Bled        Fault = "bled"
	Muddy       Fault = "muddy"
	Stiff       Fault = "stiff"
	OtherHue    Fault = "other-hue"
)

// ShortCure is the key of the rule that judges the cure.
const ShortCure = "short-cure"

// FaultInfo is a fault with words for people.
type FaultInfo struct {
	Fault Fault  `json:"fault"`
	Words string `json:"words"`
}

// Faults lists the faults in the order of a menu.
func Faults() []FaultInfo {
	return []FaultInfo{{Pale, "pale"}, {Patchy, "patchy"}, {WhiteInside, "white inside"}, {Bled, "bled"},
		{Muddy, "muddy"}, {Stiff, "stiff"}, {OtherHue, "wrong hue"}}
}

// FaultWords lists faults in words, "no fault" for none. A fault that is not known stands
// as it is.
func FaultWords(list []string) string {
	if len(list) == 0 {
		return "no fault"
	}
	words := make([]string, len(list))
	for i, f := range list {
		words[i] = f
		for _, known := range Faults() {
			if string(known.Fault) == f {
				words[i] = known.Words
			}
		}
	}
	return strings.Join(words, ", ")
}

// ParseFault reads a fault by its value or its words.
func ParseFault(text string) (Fault, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	var all []string
	for _, f := range Faults() {
		if text == string(f.Fault) || text == f.Words {
			return f.Fault, nil
		}
		all = append(all, string(f.Fault))
	}
	return "", fault.New(fault.Input, "%q is not a fault", text).WithHint("one of %s", strings.Join(all, ", "))
}

// Evidence is what is recorded of one bag. What nobody recorded is nil, "" or empty, and no
// rule judges it.
type Evidence struct {
	SoakStrength *float64 // g/L of anhydrous soda ash
	SoakCheck    *Check   // the last measured pH
	SoakMinutes  *float64
	Tied         bool     // the piece was tied when it went into the soak
	SoakGoods    float64  // g, dry, that went through the bath
	SoakServes   *float64 // g, dry, that the bath serves at most
	Hardness     *float64 // mg/L of calcium carbonate
	Cure         *Cure
	Dyes         []Dye
	DyePerGram   *float64 // mL of dye for a gram of dry cloth
	Fibre        goods.Fibre
	FibreShare   float64 // of that fibre in a blend; 0 if not given
	Scoured      *bool
	Dried        *Dried
	Alginate     float64  // g/L, the most of any jug
	Baths        *int     // of the rinse
	BathsNeeded  int      // as package rinse works it out; 0 if not known
	Clear        *bool    // the last bath ran clear
	FirstBath    *float64 // °C
	Rag          string   // clean, tinted, stained
	WashedAlone  *bool
	HueGap       *float64 // the largest angle between two strong colours of the bag, in degrees
}

// Check is a measured pH and what package soak says about it.
type Check struct {
	PH, Expected unit.PH
	Spent        float64 // share of the soda ash
	Verdict      soak.Verdict
}

// Cure says how much of the usual time had passed when the bag was opened, as a share with its
// range.
type Cure struct {
	Done, Low, High  float64
	Hours            float64
	Coldest, Warmest unit.Temperature
	IsRead           bool // somebody read or entered a temperature
}

// Dye is one colour of the bag.
type Dye struct {
	Name            string
	Class           dye.Class
	MadeStrength    *float64 // g/L in the jug
	PlannedStrength float64  // g/L by the plan
	AgeHours        *float64 // hours from mixing to bagging
	SodaAgeHours    *float64 // hours with soda ash in it
	Freshness       string   // package cure's word; "" if not known
}

// Dried says that something in the bag was found dry, and for how long it may have been.
type Dried struct {
	Hours  float64
	Wetted bool
}

// Sure says how much a cause explains.
type Sure string

// How sure.
const (
	Likely   Sure = "likely"
	Possible Sure = "possible"
	Small    Sure = "minor"
)

// The scores from which a cause counts.
var (
	LikelyFrom   = provenance.Value{Name: "score of a likely cause, from", Value: 0.6, Unit: "1", Source: weighed}
	PossibleFrom = provenance.Value{Name: "score of a possible cause, from", Value: 0.3, Unit: "1", Source: weighed}
	NamedFrom    = provenance.Value{Name: "score of a cause that is named, from", Value: 0.1, Unit: "1", Source: weighed}
	weighed      = judgementSource("how far a figure is off, times how strongly the cause makes that fault")
)

func judgementSource(text string) provenance.Source {
	return provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: " + text}
}

// Cause is a cause that the record names.
type Cause struct {
	Key        string            `json:"key"`
	Title      string            `json:"title"`
	Figure     string            `json:"figure"` // "18 g/L of soda ash; 35 to 65 g/L is usual"
	FaultsText string            `json:"makes"`  // which of the faults, in words
	Sure       Sure              `json:"sure"`
	Score      float64           `json:"score"` // 0 to 1
	Advice     string            `json:"next"`  // what to do next time
	Source     provenance.Source `json:"source"`
}

// Explanation is what the record says about faults, the most probable cause first. Missing
// names what nobody recorded and would help.
type Explanation struct {
	Faults   string   `json:"faults"` // in words
	Causes   []Cause  `json:"causes"`
	Missing  []string `json:"missing"`
	Headline string   `json:"headline"`
}

// Explain ranks the causes of the faults. Without a fault it names none.
func Explain(r Evidence, faults []Fault, style unit.Style) Explanation {
	var seen []string
	for _, f := range faults {
		seen = append(seen, string(f))
	}
	e := Explanation{Faults: FaultWords(seen), Causes: []Cause{}, Missing: []string{}}
	for _, rule := range Rules() {
		weight, makes := 0.0, []string{}
		for _, f := range faults {
			if w := rule.Makes[f]; w > 0 {
				weight, makes = max(weight, w), append(makes, string(f))
			}
		}
		if weight == 0 {
			continue
		}
		found := rule.find(r, style)
		if !found.isRecorded {
			if rule.Missing != "" && !slices.Contains(e.Missing, rule.Missing) {
				e.Missing = append(e.Missing, rule.Missing)
			}
			continue
		}
		score := found.score * weight
		if score < NamedFrom.Value {
			continue
		}
		c := Cause{Key: rule.Key, Title: rule.Title, Figure: found.figure, FaultsText: FaultWords(makes), Sure: Small, Score: score, Advice: rule.Advice, Source: rule.Source}
		if found.advice != "" {
			c.Advice = found.advice
		}
		switch {
		case score >= LikelyFrom.Value:
			c.Sure = Likely
		case score >= PossibleFrom.Value:
			c.Sure = Possible
		}
		e.Causes = append(e.Causes, c)
	}
	slices.SortStableFunc(e.Causes, func(a, b Cause) int {
		switch {
		case a.Score > b.Score:
			return -1
		case a.Score < b.Score:
			return 1
		}
		return 0
	})
	switch {
	case len(faults) == 0:
		e.Headline = "choose what is wrong with it"
	case len(e.Causes) == 0:
		e.Headline = "nothing in the record explains it"
	case len(e.Causes) == 1:
		e.Headline = "1 thing in the record may explain it"
	default:
		e.Headline = "the most probable cause comes first"
	}
	return e
}
