// Package dye covers fibre-reactive dyes as a dyer handles them: the reactive class of a
// dye, the strength it is mixed at, the powder a bottle needs, and how accurately a
// kitchen scale weighs that. Start with BottleMix for a bottle or a jug and with Classes for
// the classes. Kinetics are in package cure and colours in package colour; there is no
// list of dyes.
package dye

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
)

// Class is the reactive group of a dye. It decides how warm and how long a cure must be.
// Each dye has its class; a batch may mix several.
type Class string

// The classes. Unknown is for a dye whose class the dyer does not know.
const (
	Dichlorotriazine   Class = "dichlorotriazine"
	VinylSulfone       Class = "vinyl-sulfone"
	Monochlorotriazine Class = "monochlorotriazine"
	UnknownClass       Class = "unknown"
)

// ClassInfo is a class with words for people.
type ClassInfo struct {
	Class  Class             `json:"class"`
	Words  string            `json:"words"`  // its name on screen and in print
	Advice string            `json:"means"`  // one sentence: what it means for the dyer
	Source provenance.Source `json:"source"` // where the sentence comes from
}

// padBatchSource is the source of the dwell times: a textbook table for cold pad-batch dyeing.
var padBatchSource = provenance.Source{Reliability: provenance.Memory, Text: "J. Shore (ed.), Cellulosics Dyeing, SDC 1995, ch. 4: cold pad-batch dwell by reactive class"}

// Classes lists every class in the order of a menu.
func Classes() []ClassInfo {
	return []ClassInfo{
		{Dichlorotriazine, "dichlorotriazine",
			"bonds at room temperature with soda ash; the usual dye for squeeze bottles and bags", padBatchSource},
		{VinylSulfone, "vinyl sulfone",
			"bonds at room temperature, more slowly with soda ash alone; a warm place helps", padBatchSource},
		{Monochlorotriazine, "monochlorotriazine",
			"does not bond in the cold with soda ash; it needs a hot bath", padBatchSource},
		{UnknownClass, "class not known",
			"no time can be given; look for the class on the jar or the data sheet", provenance.CommonPracticeSource},
	}
}

// Info returns the entry of c; an unlisted class has the entry of UnknownClass.
func (c Class) Info() ClassInfo {
	all := Classes()
	for _, i := range all {
		if i.Class == c {
			return i
		}
	}
	return all[len(all)-1]
}

// ParseClass reads a class by its value. The error lists the values.
func ParseClass(s string) (Class, error) {
	hint := ""
	for _, i := range Classes() {
		if string(i.Class) == s {
			return i.Class, nil
		}
		if hint != "" {
			hint += ", "
		}
		hint += string(i.Class)
	}
	return UnknownClass, fault.New(fault.Input, "%q is not a dye class", s).At("class", s).WithHint("one of %s", hint)
}
