package sheet

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// textOf joins what is written on pages, line by line.
func textOf(pages []Page) string {
	var b strings.Builder
	for _, p := range pages {
		for _, t := range p.Texts {
			b.WriteString(t.Text + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func TestDocument(t *testing.T) {
	d := Document{Title: "Spring market", Sub: "started 2 May", Footer: "coldbatch", Blocks: []Block{
		{"Colours", []Row{{Label: "RU", Text: "rust, 25 g/L", Colours: []Colour{{RGB: "#b5372a"}}}}},
		{"Empty", nil},
		{"Bags", []Row{{Label: "Bag 1", Text: "tee, spiral"}}},
	}}
	pages := d.Pages(210, 297)
	if len(pages) != 1 {
		t.Fatalf("%d pages", len(pages))
	}
	text := textOf(pages)
	for _, want := range []string{"Spring market", "started 2 May", "Colours", "RU", "rust, 25 g/L", "Bag 1", "tee, spiral", "page 1 of 1", "coldbatch"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
	if strings.Contains(text, "Empty") {
		t.Error("a heading without rows is printed")
	}
	if len(pages[0].Areas) != 1 {
		t.Errorf("%d swatches", len(pages[0].Areas))
	}
}

// Whatever is written, all of it is on the pages once, within the margins, and none of it over another
// line.
func TestDocumentProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-z]{1,12}`)
		sentence := rapid.SliceOfN(word, 0, rapid.SampledFrom([]int{3, 30, 1500}).Draw(t, "words"))
		d := Document{Title: strings.Join(rapid.SliceOfN(word, 1, 30).Draw(t, "title"), " "), Footer: "coldbatch"}
		words := len(strings.Fields(d.Title))
		for i := range rapid.IntRange(0, 6).Draw(t, "blocks") {
			b := Block{Heading: fmt.Sprintf("Block%d", i)}
			for range rapid.IntRange(1, 12).Draw(t, "rows") {
				r := Row{Text: strings.Join(sentence.Draw(t, "text"), " ")}
				if rapid.Bool().Draw(t, "labelled") {
					r.Label = strings.Join(rapid.SliceOfN(word, 1, 4).Draw(t, "label"), " ")
				}
				r.Colours = make([]Colour, rapid.IntRange(0, 4).Draw(t, "colours"))
				words += len(strings.Fields(r.Text)) + len(strings.Fields(r.Label))
				b.Rows = append(b.Rows, r)
			}
			words++
			d.Blocks = append(d.Blocks, b)
		}
		width, height := 210., 297.
		if rapid.Bool().Draw(t, "letter") {
			width, height = 215.9, 279.4
		}
		pages := d.Pages(width, height)
		got := len(strings.Fields(textOf(pages))) - 5*len(pages) // coldbatch, page 1 of 2
		if got != words {
			t.Fatalf("%d words of %d are printed", got, words)
		}
		for n, p := range pages {
			for i, a := range p.Texts {
				if a.X < documentMargin-0.01 || a.X+a.Width*a.Squeeze > width-documentMargin+0.01 || a.Y < documentMargin || a.Y > height-documentMargin/2+0.01 {
					t.Fatalf("page %d: %q lies at %g, %g and is %g wide", n+1, a.Text, a.X, a.Y, a.Width)
				}
				for _, b := range p.Texts[:i] {
					if a.Y == b.Y && a.X < b.X+b.Width-0.01 && b.X < a.X+a.Width-0.01 {
						t.Fatalf("page %d: %q lies over %q", n+1, a.Text, b.Text)
					}
				}
			}
		}
	})
}
