package calc

import (
	"fmt"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Line is one output, ready to print.
type Line struct {
	Key, Label, Text, Help string
}

// Lines gives the outputs of r in the order in which e lists them.
func Lines(r *Result, e Entry) []Line {
	var lines []Line
	for _, out := range e.Outputs {
		if out.Each {
			for _, name := range r.Each {
				lines = append(lines, Line{name, name, r.Outputs[name].Text, out.Help})
			}
		}
		if t, ok := r.Outputs[out.Key]; ok {
			lines = append(lines, Line{out.Key, out.Label, t.Text, out.Help})
		}
	}
	return lines
}

// Text prints a result for the command line: outputs, notes, cautions and
// sources.
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
		fmt.Fprintf(&b, "  %s\n", hang(pad(l.Label, wide)+"  ", l.Text, wide+4))
	}
	if len(r.Notes) > 0 {
		b.WriteString("\n")
		for _, n := range r.Notes {
			fmt.Fprintf(&b, "  %s\n", hang("", n, 2))
		}
	}
	section(&b, "Take care")
	for _, c := range r.Cautions {
		fmt.Fprintf(&b, "  %s\n", hang("! ", c.Text+" ["+c.Source+"]", 4))
	}
	section(&b, "Sources")
	for _, s := range r.Sources {
		fmt.Fprintf(&b, "  %s\n", hang("", mark(s), 2))
	}
	return b.String()
}

// Reference prints what a calculator is: purpose, formula in words, inputs with
// ranges and defaults, outputs, and each source with its mark.
func Reference(e Entry) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n\n  %s\n", e.Name, e.Title, hang("", e.Purpose, 2))
	section(&b, "How it is worked out")
	fmt.Fprintf(&b, "  %s\n", hang("", e.Formula, 2))
	section(&b, "Inputs")
	for _, in := range e.Inputs {
		fmt.Fprintf(&b, "  %s\n", hang(pad(in.Key, 14), in.describe(), 16))
	}
	section(&b, "Outputs")
	for _, out := range e.Outputs {
		fmt.Fprintf(&b, "  %s\n", hang(pad(out.Key, 14), out.describe(), 16))
	}
	if len(e.Values) > 0 {
		section(&b, "Values")
	}
	for _, v := range e.Values {
		fmt.Fprintf(&b, "  %s\n", hang("", constant(v), 4))
	}
	section(&b, "Take care")
	for _, c := range e.Cautions {
		fmt.Fprintf(&b, "  %s\n", hang("! ", c.Text+" ["+c.Source+"]", 4))
	}
	if len(e.Sources) > 0 {
		section(&b, "Sources")
	}
	for _, s := range e.Sources {
		fmt.Fprintf(&b, "  %s\n", hang("", mark(s), 2))
	}
	fmt.Fprintf(&b, "\nExample:\n  coldbatch calc %s%s\n", e.Name, e.example())
	return b.String()
}

// List prints all calculators in one screen: the stages of the work, two
// calculators a line.
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
		entry := "  " + pad(e.Name, 12) + e.Title
		if left == "" {
			left = entry
			continue
		}
		left = pad(left, 44) + entry
		end()
	}
	end()
	b.WriteString("\n  coldbatch calc NAME                       what it takes, how this is worked out, and the sources\n")
	b.WriteString("  coldbatch calc NAME key=value … [--json]  an answer\n")
	return b.String()
}

// example gives the required inputs, and Try, as they are typed.
func (e Entry) example() string {
	s := ""
	for _, in := range e.Inputs {
		if in.Required {
			s += fmt.Sprintf(" %s='%s'", in.Key, in.example())
		}
	}
	if e.Try != "" {
		s += " " + e.Try
	}
	return s
}

// describe tells an input: what it is, its range, its default.
func (in Input) describe() string {
	s := in.Label
	if in.Help != "" {
		s += ": " + in.Help
	}
	switch {
	case len(in.Words) > 0:
		s += "; one of " + values(in.Words)
	case in.Min != 0 || in.Max != 0:
		s += "; " + in.span(unit.Style{})
	}
	switch {
	case in.Required:
		s += "; needed, such as " + in.example()
	case in.Default != "":
		s += "; " + in.Default + " if not given (" + mark(in.Source) + ")"
	case in.Example != "":
		s += "; such as " + in.Example
	}
	return s
}

// describe tells an output: what it is, its unit, its source.
func (out Output) describe() string {
	s := out.Label
	if out.Help != "" {
		s += ": " + out.Help
	}
	switch {
	case len(out.Words) > 0:
		s += "; one of " + values(out.Words)
	case out.In != "":
		s += "; in " + out.In
	case out.Kind != KindTime && out.Kind != unit.KindPH && unit.Unit(out.Kind) != "1":
		s += "; in " + unit.Unit(out.Kind)
	}
	return s + " (" + mark(out.Source) + ")"
}

// constant tells a constant: its name, its value with its range, its source.
func constant(v fault.Value) string {
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
	return s + " (" + mark(v.Source) + ")"
}

func values(words []Word) string {
	var v []string
	for _, w := range words {
		v = append(v, w.Value)
	}
	return strings.Join(v, ", ")
}

// mark prints a source with its mark.
func mark(s fault.Source) string {
	switch s.Kind {
	case fault.Published:
		return "published: " + s.Text
	case fault.Memory:
		return "from memory: " + s.Text
	}
	return s.Text // practice and judgement say so themselves
}

func section(b *strings.Builder, title string) { fmt.Fprintf(b, "\n%s\n", title) }

// pad fills s with spaces to a width in characters.
func pad(s string, wide int) string {
	return s + strings.Repeat(" ", max(0, wide-len([]rune(s))))
}

// hang sets lead and then text, broken at spaces into lines of at most 96
// characters, the later ones indented.
func hang(lead, text string, indent int) string {
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
