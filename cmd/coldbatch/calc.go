package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"strings"

	"coldbatch/internal/calc"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
)

// calc lists the calculators, prints the reference of one, or calculates. Its one flag may
// be anywhere in args, since people add it last.
func (c command) calc(args []string) error {
	var name string
	var asJSON bool
	inputs := map[string]string{}
	for _, a := range args {
		key, value, isInput := strings.Cut(a, "=")
		switch {
		case a == "--json" || a == "-json":
			asJSON = true
		case a == "--help" || a == "-help" || a == "-h":
			return flag.ErrHelp
		case strings.HasPrefix(a, "-"):
			return usage("calc has no flag %q", a)
		case isInput && name == "":
			return usage("write the name of a calculator before %q", a)
		case isInput:
			if _, twice := inputs[key]; twice {
				return usage("%s is given twice", key)
			}
			inputs[key] = value
		case name != "":
			return usage("%q is neither key=value nor --json", a)
		default:
			name = a
		}
	}
	if name == "" {
		if asJSON {
			return c.json(calc.All())
		}
		fmt.Fprint(c.out, calc.List())
		return nil
	}
	entry, err := calc.Find(name)
	if err != nil {
		return &usageError{fault.AsFault(err)}
	}
	if len(inputs) == 0 {
		if asJSON {
			return c.json(entry)
		}
		fmt.Fprint(c.out, calc.Reference(entry))
		return nil
	}
	now := machineSystem().Now()
	table, err := hub.ZoneTableAround(c.machineZone(), now)
	if err != nil {
		return err
	}
	r, err := calc.Run(name, inputs, calcEnv(now, table))
	if err != nil {
		return err
	}
	if asJSON {
		return c.json(r)
	}
	fmt.Fprint(c.out, calc.Text(r))
	return nil
}

func (c command) json(v any) error {
	e := json.NewEncoder(c.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
