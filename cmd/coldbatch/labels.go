package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/press"
	"coldbatch/internal/rights"
	"coldbatch/internal/sheet"
	"coldbatch/internal/store"
	"coldbatch/internal/unit"
	"coldbatch/internal/web"
)

// labelOrder is labels to lay out and the form of the files to make: pdf, svg or
// png. Blanks are made first, where they are asked for.
type labelOrder struct {
	hub.LabelsRequest
	Blanks *hub.BlanksRequest `json:"blanks,omitempty"`
	Form   string             `json:"form"`
}

// labelFiles are the files of an order: one PDF, or an SVG or PNG for each page.
type labelFiles struct {
	hub.Labels
	Files [][]byte `json:"files"`
}

// makeLabels carries out an order.
func makeLabels(h *hub.Hub, o labelOrder) (*labelFiles, error) {
	if o.Blanks != nil {
		prints, err := h.ReserveBlanks(h.LocalAsker(), *o.Blanks)
		if err != nil {
			return nil, err
		}
		o.Prints = prints
	}
	l, err := h.LayOutLabels(h.LocalAsker(), o.LabelsRequest)
	if err != nil {
		return nil, err
	}
	files, err := inForm(l, o)
	return &labelFiles{*l, files}, err
}

// drawing is held while pages are drawn: a picture takes much memory, and a phone
// may ask for many at once.
var drawing sync.Mutex

// inForm gives the pages of l in the form of o.
func inForm(l *hub.Labels, o labelOrder) (files [][]byte, err error) {
	drawing.Lock()
	defer drawing.Unlock()
	if o.Form == "pdf" {
		var b bytes.Buffer
		err := press.PDF(&b, "coldbatch: labels, "+l.Name, time.UnixMilli(int64(world().Now())), l.Pages)
		return [][]byte{b.Bytes()}, err
	}
	for _, p := range l.Pages {
		var b bytes.Buffer
		switch o.Form {
		case "svg":
			b.WriteString(p.SVG())
		case "png":
			if err := press.PNG(&b, p, l.DPI, o.Mono); err != nil {
				return nil, err
			}
		default:
			return nil, fault.New(fault.Input, "labels cannot be written as %q", o.Form).WithHint("as .pdf, .svg or .png")
		}
		files = append(files, b.Bytes())
	}
	return files, nil
}

// label prints labels of bags, pieces, bottles or the bucket into files.
func (c command) label(args []string) error {
	var o labelOrder
	var bags, out string
	f := c.flags("label", func(f *flags) {
		orderFlags(f, &o, &out)
		f.StringVar(&o.What, "what", "bags", "")
		f.StringVar(&bags, "bags", "", "")
		f.BoolVar(&o.Unprinted, "unprinted", false, "")
	})
	batchName, err := f.parseAfter(args, "the name of a batch")
	if err != nil {
		return err
	}
	if bags != "" {
		o.Bags = strings.Split(bags, ",")
	}
	o.Batch = batchName
	return c.order(*f.data, o, out)
}

// blanks makes numbered blanks, or tags of a piece, and prints them into files.
func (c command) blanks(args []string) error {
	var out string
	o := labelOrder{Blanks: &hub.BlanksRequest{}}
	f := c.flags("blanks", func(f *flags) {
		orderFlags(f, &o, &out)
		o.Blanks.Count = 24
		f.whole(&o.Blanks.Count, "count")
		f.StringVar(&o.Blanks.Piece, "piece", "", "")
	})
	batchName, err := f.parseAfter(args, "the name of a batch")
	if err != nil {
		return err
	}
	o.What = "blanks"
	if o.Blanks.Piece != "" {
		o.What = "tags"
	}
	o.Batch, o.Blanks.Batch, o.Blanks.Sheet = batchName, batchName, o.Sheet
	return c.order(*f.data, o, out)
}

// orderFlags are those of every order of labels.
func orderFlags(f *flags, o *labelOrder, out *string) {
	f.StringVar(&o.Sheet, "sheet", "a4-70x37", "")
	f.StringVar(out, "out", "labels.pdf", "")
	o.Start = 1
	f.whole(&o.Start, "start")
	f.whole(&o.DPI, "dpi")
	f.BoolVar(&o.Mono, "mono", false, "")
	f.BoolVar(&o.Cut, "cut", false, "")
	f.BoolFunc("us", "", func(string) error {
		o.Style = unit.Style{System: unit.US, Clock12: true}
		return nil
	})
}

// parseAfter reads one argument that comes before or after the flags.
func (f *flags) parseAfter(args []string, what string) (string, error) {
	name := ""
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		name, args = args[0], args[1:]
		return name, f.parse(args, 0)
	}
	f.takes = what
	if err := f.parse(args, 1); err != nil {
		return "", err
	}
	return f.Arg(0), nil
}

// order carries out an order, here or by the program that runs, writes the files,
// and then records that the labels of bags were printed.
func (c command) order(data string, o labelOrder, out string) error {
	o.Form = strings.ToLower(strings.TrimPrefix(filepath.Ext(out), "."))
	if o.Form != "pdf" && o.Form != "svg" && o.Form != "png" {
		return usage("labels cannot be written to %q: a name ends in .pdf, .svg or .png", out)
	}
	if _, err := sheet.FindPaper(o.Sheet); err != nil {
		return &usageError{fault.Of(err)}
	}
	if err := canWrite(out); err != nil { // before numbers are taken for blanks
		return err
	}
	var made labelFiles
	running, err := ask(data, "labels", o, &made)
	if !running {
		err = c.alone(data, func(h *hub.Hub) error {
			l, err := makeLabels(h, o)
			if err == nil {
				made = *l
			}
			return err
		})
	}
	if err != nil {
		return err
	}
	names, err := writeFiles(out, made.Files)
	if err != nil {
		return err
	}
	done := made.Labels
	if running {
		_, err = ask(data, "printed", done, &struct{}{})
	} else {
		err = c.alone(data, func(h *hub.Hub) error { return h.RecordLabelsPrinted(h.LocalAsker(), done) })
	}
	c.sayLabels(made, names)
	return err
}

// alone lets do work on the journal while no program runs.
func (c command) alone(data string, do func(*hub.Hub) error) error {
	path := filepath.Join(data, journalFile)
	if _, err := os.Stat(path); err != nil {
		return fault.New(fault.NotFound, "there is no journal at %s", path).WithHint("--data names the folder of another")
	}
	s, err := store.Open(path, store.Options{OnDamage: c.warnDamage})
	if err != nil {
		return err
	}
	defer s.Close()
	h, err := hub.Open(bolt{s}, hub.Identity{}, world())
	if err != nil {
		return err
	}
	defer h.Close()
	return do(h)
}

// canWrite says whether a file can be written at path, and leaves none there.
func canWrite(path string) error {
	_, missing := os.Lstat(path)
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, 0o644)
	if err != nil {
		return notWritten(path, err)
	}
	f.Close()
	if missing != nil {
		os.Remove(path)
	}
	return nil
}

func notWritten(path string, err error) error {
	return fault.New(fault.Full, "the file %s cannot be written: %v", path, err)
}

// writeFiles writes one file as out, several as out with their number.
func writeFiles(out string, files [][]byte) (names []string, err error) {
	ext := filepath.Ext(out)
	for i, b := range files {
		name := out
		if len(files) > 1 {
			name = strings.TrimSuffix(out, ext) + "-" + strconv.Itoa(i+1) + ext
		}
		if err := os.WriteFile(name, b, 0o644); err != nil {
			return nil, notWritten(name, err)
		}
		names = append(names, name)
	}
	return names, nil
}

// sayLabels tells what was made, and what labels went without.
func (c command) sayLabels(made labelFiles, names []string) {
	where := names[0]
	if len(names) > 1 {
		where += " to " + names[len(names)-1]
	}
	all := make([]string, len(made.Labels.Labels))
	for i, l := range made.Labels.Labels {
		all[i] = l.Tag.Number
	}
	fmt.Fprintf(c.out, "%s in %s: %s\n", count(len(all), "label"), where, runs(all))
	var said []string // what is missing, each once
	who := map[string][]string{}
	say := func(number, what string) {
		if who[what] == nil {
			said = append(said, what)
		}
		who[what] = append(who[what], number)
	}
	for _, m := range made.Omitted {
		if len(m.Dropped) > 0 {
			say(m.Number, "no room for "+strings.Join(m.Dropped, ", "))
		}
		if m.Unknown != "" {
			say(m.Number, "no face has "+m.Unknown+", □ stands for it")
		}
	}
	for _, what := range said {
		fmt.Fprintf(c.out, "%s: %s\n", runs(who[what]), what)
	}
	fmt.Fprintln(c.out, "print at 100 %, by laser, or tie the tag on in a small clear bag: inkjet runs when it gets wet")
}

// runs names numbers in their order, those that follow each other as "1 to 24".
func runs(numbers []string) string {
	follows := func(i int) bool {
		a, err := strconv.Atoi(numbers[i-1])
		b, wrong := strconv.Atoi(numbers[i])
		return err == nil && wrong == nil && b == a+1
	}
	var out []string
	for i := 0; i < len(numbers); {
		end := i + 1
		for end < len(numbers) && follows(end) {
			end++
		}
		if end-i > 2 {
			out = append(out, numbers[i]+" to "+numbers[end-1])
		} else {
			out = append(out, numbers[i:end]...)
		}
		i = end
	}
	return strings.Join(out, ", ")
}

// sheetFor gives labels to a phone as a file: a PDF, or one page as SVG or PNG.
func sheetFor(h *hub.Hub, who rights.Asker, get func(string) string) (*web.File, error) {
	o, err := orderOf(get)
	if err != nil {
		return nil, err
	}
	l, err := h.LayOutLabels(who, o.LabelsRequest)
	if err != nil {
		return nil, err
	}
	if n := len(l.Pages); n > 1 && o.Form != "pdf" {
		return nil, fault.New(fault.Input, "%d pages do not fit one %s", n, o.Form).WithHint("ask for a PDF")
	}
	files, err := inForm(l, o)
	if err != nil {
		return nil, err
	}
	types := map[string]string{"pdf": "application/pdf", "svg": "image/svg+xml", "png": "image/png"}
	return &web.File{Name: "labels." + o.Form, Type: types[o.Form], Body: files[0]}, nil
}

// orderOf reads what the web is asked for labels.
func orderOf(get func(string) string) (labelOrder, error) {
	o := labelOrder{Form: get("form")}
	o.Batch, o.Sheet, o.What = get("batch"), get("sheet"), get("what")
	if o.Form == "" {
		o.Form = "pdf"
	}
	if o.Sheet == "" {
		o.Sheet = "a4-70x37"
	}
	if bags := get("bags"); bags != "" {
		o.Bags = strings.Split(bags, ",")
	}
	o.Unprinted, o.Mono, o.Cut = get("unprinted") != "", get("mono") != "", get("cut") != ""
	o.Prints, o.Colours = idsIn(get("prints")), idsIn(get("colours"))
	o.Style = unit.Style{Comma: get("comma") != "", Clock12: get("clock12") != ""}
	if get("us") != "" {
		o.Style.System = unit.US
	}
	for key, into := range map[string]*int{"start": &o.Start, "dpi": &o.DPI, "copies": &o.Copies} {
		if text := get(key); text != "" {
			n, err := strconv.Atoi(text)
			if err != nil {
				return o, fault.New(fault.Input, "%q is not a number", text).At(key, text)
			}
			*into = n
		}
	}
	return o, nil
}

// idsIn reads ids with commas between.
func idsIn(text string) (ids []journal.ID) {
	for id := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' }) {
		ids = append(ids, journal.ID(id))
	}
	return ids
}
