package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"coldbatch/internal/batchview"
	"coldbatch/internal/cause"
	"coldbatch/internal/hub"
	"coldbatch/internal/unit"
)

// why says what in the record of a batch's bags probably made their faults.
func (c command) why(args []string) error {
	var q hub.WhyRequest
	var faults string
	var asJSON bool
	f := c.flags("why", func(f *flags) {
		f.StringVar(&q.Bag, "bag", "", "")
		f.StringVar(&faults, "fault", "", "")
		f.BoolVar(&asJSON, "json", false, "")
		f.usVar(&q.Style)
	})
	var err error
	if q.Batch, err = f.parseWithArgument(args, "the name of a batch"); err != nil {
		return err
	}
	for word := range strings.FieldsFuncSeq(faults, func(r rune) bool { return r == ',' }) {
		one, err := cause.ParseFault(word)
		if err != nil {
			return err
		}
		q.Faults = append(q.Faults, one)
	}
	var views []batchview.WhyView
	running, err := callProgram(c.ctx, *f.data, "why", q, &views)
	if !running {
		err = c.withJournal(*f.data, func(h *hub.Hub) (err error) {
			views, err = h.Explain(c.ctx, h.LocalAsker(), q)
			return err
		})
	}
	if err != nil {
		return err
	}
	if asJSON {
		return writeJSON(c.out, views)
	}
	for i, v := range views {
		if i > 0 {
			fmt.Fprintln(c.out)
		}
		printWhy(c.out, v)
	}
	return nil
}

// usVar adds the flag for US customary units and a 12-hour clock.
func (f *flags) usVar(into *unit.Style) {
	f.BoolFunc("us", "", func(string) error {
		*into = unit.Style{System: unit.US, Clock12: true}
		return nil
	})
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

func printWhy(w io.Writer, v batchview.WhyView) {
	if len(v.Chosen) == 0 {
		fmt.Fprintf(w, "Bag %s, %s: not rated as faulty; use --fault to say what is wrong, such as --fault pale,bled\n", v.Number, v.Contents)
		return
	}
	fmt.Fprintf(w, "Bag %s, %s: %s\n%s\n", v.Number, v.Contents, v.Faults, v.Headline)
	for i, x := range v.Causes {
		fmt.Fprintf(w, "\n%d  %s (%s; makes it %s)\n   %s\n   Next time: %s\n   [%s] %s\n", i+1, x.Title, x.Sure, x.FaultsText, x.Figure, x.Advice, x.Source.Reliability, x.Source.Text)
	}
	if len(v.Missing) > 0 {
		fmt.Fprintf(w, "\nNot recorded: %s\n", strings.Join(v.Missing, "; "))
	}
}
