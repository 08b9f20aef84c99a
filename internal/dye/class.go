// Package dye knows fibre-reactive dyes as a dyer handles them: the reactive
// class a dye belongs to, the strength it is mixed at, the powder a bottle
// needs, and what a kitchen scale makes of that. Start with Mix for a bottle
// or a jug and with Classes for the classes. It holds no kinetics (package
// cure), no colour, and no list of dyes.
package dye

import "coldbatch/internal/fault"

// Class is the reactive group of a dye: it rules how warm and how long a cure
// must be. It is a property of each dye, not of a batch.
type Class string

// The classes that are told apart. Unknown is an honest answer.
const (
	Dichlorotriazine   Class = "dichlorotriazine"
	VinylSulfone       Class = "vinyl-sulfone"
	Monochlorotriazine Class = "monochlorotriazine"
	Unknown            Class = "unknown"
)

// ClassInfo is a class with words for people.
type ClassInfo struct {
	Class  Class        `json:"class"`
	Words  string       `json:"words"`  // its name on screen and in print
	Means  string       `json:"means"`  // one sentence: what it asks of the dyer
	Source fault.Source `json:"source"` // where the sentence comes from
}

// padBatch is the textbook table of cold pad-batch dwells by class.
var padBatch = fault.Source{Kind: fault.Memory, Text: "J. Shore (ed.), Cellulosics Dyeing, SDC 1995, ch. 4: cold pad-batch dwell by reactive class"}

// Classes lists every class in the order in which it is offered.
func Classes() []ClassInfo {
	return []ClassInfo{
		{Dichlorotriazine, "dichlorotriazine",
			"bonds at room temperature with soda ash; the usual dye for squeeze bottles and bags", padBatch},
		{VinylSulfone, "vinyl sulfone",
			"bonds at room temperature, slower with soda ash alone, and gains from a warm place", padBatch},
		{Monochlorotriazine, "monochlorotriazine",
			"does not bond in the cold with soda ash; it needs a hot bath", padBatch},
		{Unknown, "class not known",
			"no time can be told; look for the class on the jar or the data sheet", fault.CommonPractice},
	}
}

// Info gives the entry of c; a class that is not listed gives Unknown's.
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
	return Unknown, fault.New(fault.Input, "%q is not a dye class", s).At("class", s).WithHint("one of %s", hint)
}
