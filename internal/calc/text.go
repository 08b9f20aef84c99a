package calc

import (
	"fmt"
	"strings"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// Line is one output of a Result as text.
type Line struct {
	Key, Label, Text, Help string
}

// Lines returns the outputs of r in the order in which e lists them.
func Lines(r *Result, e Entry) []Line {
	var lines []Line
	for _, out := range e.Outputs {
		if out.IsList {
			for _, name := range r.ItemKeys {
				lines = append(lines, Line{name, name, r.Outputs[name].Text, out.Help})
			}
		}
		if t, ok := r.Outputs[out.Key]; ok {
			lines = append(lines, Line{out.Key, out.Label, t.Text, out.Help})
		}
	}
	return lines
}

// Text prints a result for the command line: outputs, notes, cautions and sources. It
// returns "" where r.Calculator is unknown.
func Text(r *Result) string {
	e, err := Find(r.Calculator)
	if err != nil {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", e.Title)
	lines := Lines(r, e)
	wide := 0
	for _, l := range lines {
		wide = max(wide, len([]rune(l.Label)))
	}
	for _, l := range lines {
		fmt.Fprintf(&b, "  %s\n", wrapIndented(padRight(l.Label, wide)+"  ", l.Text, wide+4))
	}
	if len(r.Notes) > 0 {
		b.WriteString("\n")
		for _, n := range r.Notes {
			fmt.Fprintf(&b, "  %s\n", wrapIndented("", n, 2))
		}
	}
	writeHeading(&b, "Take care")
	for _, c := range r.Cautions {
		fmt.Fprintf(&b, "  %s\n", wrapIndented("! ", c.Text+" ["+c.Source+"]", 4))
	}
	writeHeading(&b, "Sources")
	for _, s := range r.Sources {
		fmt.Fprintf(&b, "  %s\n", wrapIndented("", sourceText(s), 2))
	}
	return b.String()
}

// Reference prints the reference page of a calculator: purpose, formula in words, inputs
// with ranges and defaults, outputs, constants, cautions, and each source with its mark.
func Reference(e Entry) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n\n  %s\n", e.Name, e.Title, wrapIndented("", e.Purpose, 2))
	writeHeading(&b, "How it is worked out")
	fmt.Fprintf(&b, "  %s\n", wrapIndented("", e.Formula, 2))
	writeHeading(&b, "Inputs")
	for _, in := range e.Inputs {
		fmt.Fprintf(&b, "  %s\n", wrapIndented(padRight(in.Key, 14), in.describe(), 16))
	}
	writeHeading(&b, "Outputs")
	for _, out := range e.Outputs {
		fmt.Fprintf(&b, "  %s\n", wrapIndented(padRight(out.Key, 14), out.describe(), 16))
	}
	if len(e.Values) > 0 {
		writeHeading(&b, "Values")
	}
	for _, v := range e.Values {
		fmt.Fprintf(&b, "  %s\n", wrapIndented("", constantText(v), 4))
	}
	writeHeading(&b, "Take care")
	for _, c := range e.Cautions {
		fmt.Fprintf(&b, "  %s\n", wrapIndented("! ", c.Text+" ["+c.Source+"]", 4))
	}
	if len(e.Sources) > 0 {
		writeHeading(&b, "Sources")
	}
	for _, s := range e.Sources {
		fmt.Fprintf(&b, "  %s\n", wrapIndented("", sourceText(s), 2))
	}
	fmt.Fprintf(&b, "\nExample:\n  coldbatch calc %s%s\n", e.Name, e.example())
	return b.String()
}

// List prints all calculators on one screen, by stage of the work, two to a line.
func List() string {
	var b strings.Builder
	group, left := "", ""
	end := func() {
		if left != "" {
			b.WriteString(left + "\n")
		}
		left = ""
	}
	for _, e := range All() {
		if e.Group != group {
			end()
			group = e.Group
			fmt.Fprintf(&b, "%s\n", group)
		}
		entry := "  " + padRight(e.Name, 12) + e.Title
		if left == "" {
			left = entry
			continue
		}
		left = padRight(left, 44) + entry
		end()
	}
	end()
	b.WriteString("\n  coldbatch calc NAME                       show inputs, formula and sources\n")
	b.WriteString("  coldbatch calc NAME key=value … [--json]  calculate\n")
	return b.String()
}

// example writes the required inputs and ExampleInputs as on the command line.
func (e Entry) example() string {
	s := ""
	for _, in := range e.Inputs {
		if in.Required {
			s += fmt.Sprintf(" %s='%s'", in.Key, in.example())
		}
	}
	if e.ExampleInputs != "" {
		s += " " + e.ExampleInputs
	}
	return s
}

// describe prints an input's label, help, range or words, and default.
func (in Input) describe() string {
	s := in.Label
	if in.Help != "" {
		s += ": " + in.Help
	}
	switch {
	case len(in.Words) > 0:
		s += "; one of " + joinValues(in.Words)
	case in.Min != 0 || in.Max != 0:
		s += "; " + in.rangeText(unit.Style{})
	}
	switch {
	case in.Required:
		s += "; required, such as " + in.example()
	case in.Default != "":
		s += "; " + in.Default + " if left out (" + sourceText(in.Source) + ")"
	case in.Example != "":
		s += "; such as " + in.Example
	}
	return s
}

// describe prints an output's label, help, words or unit, and source.
func (out Output) describe() string {
	s := out.Label
	if out.Help != "" {
		s += ": " + out.Help
	}
	switch {
	case len(out.Words) > 0:
		s += "; one of " + joinValues(out.Words)
	case out.ValueUnit != "":
		s += "; in " + out.ValueUnit
	case out.Kind != KindInstant && out.Kind != unit.KindPH && unit.BaseUnit(out.Kind) != "1":
		s += "; in " + unit.BaseUnit(out.Kind)
	}
	return s + " (" + sourceText(out.Source) + ")"
}

// constantText prints a constant's name, value, range and source. Seconds are printed as
// minutes.
func constantText(v provenance.Value) string {
	scale, symbol := 1.0, " "+v.Unit
	switch v.Unit {
	case "1":
		symbol = ""
	case "s":
		scale, symbol = 1./60, " min"
	}
	s := fmt.Sprintf("%s: %.5g%s", v.Name, v.Value*scale, symbol)
	if v.Low != 0 || v.High != 0 {
		s += fmt.Sprintf(", %.5g to %.5g", v.Low*scale, v.High*scale)
	}
	return s + " (" + sourceText(v.Source) + ")"
}

func joinValues(words []Word) string {
	var v []string
	for _, w := range words {
		v = append(v, w.Value)
	}
	return strings.Join(v, ", ")
}

// sourceText prints a source with its mark in front.
func sourceText(s provenance.Source) string {
	switch s.Reliability {
	case provenance.Published:
		return "published: " + s.Text
	case provenance.Memory:
		return "from memory: " + s.Text
	}
	return s.Text // the text of practice and judgement begins with the mark
}

func writeHeading(b *strings.Builder, title string) { fmt.Fprintf(b, "\n%s\n", title) }

// padRight fills s with spaces to a width in characters.
func padRight(s string, wide int) string {
	return s + strings.Repeat(" ", max(0, wide-len([]rune(s))))
}

// wrapIndented writes lead and text, broken at spaces into lines of at most 96 characters;
// lines after the first are indented.
func wrapIndented(lead, text string, indent int) string {
	var b strings.Builder
	b.WriteString(lead)
	column := indent
	for i, word := range strings.Fields(text) {
		n := len([]rune(word))
		switch {
		case i == 0:
		case column+1+n > 96:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent
		default:
			b.WriteString(" ")
			column++
		}
		b.WriteString(word)
		column += n
	}
	return b.String()
}
