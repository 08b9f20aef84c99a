package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/label"
	"coldbatch/internal/sheet"
	"coldbatch/internal/store"
)

// defaultSheet is the paper of labels where no other is given.
const defaultSheet = "a4-70x37"

// label prints labels of bags, pieces, bottles or the bucket into files.
func (c command) label(args []string) error {
	var o labelFilesRequest
	var bags, out string
	f := c.flags("label", func(f *flags) {
		addLabelFlags(f, &o, &out)
		f.StringVar(&o.LabelKind, "what", "bags", "")
		f.StringVar(&bags, "bags", "", "")
		f.BoolVar(&o.Unprinted, "unprinted", false, "")
	})
	batchName, err := f.parseWithArgument(args, "the name of a batch")
	if err != nil {
		return err
	}
	if bags != "" {
		o.Bags = strings.Split(bags, ",")
	}
	o.Batch = batchName
	return c.printLabelFiles(*f.data, o, out)
}

// blanks makes numbered blanks, or tags of a piece, and prints them into files.
func (c command) blanks(args []string) error {
	var out string
	o := labelFilesRequest{Blanks: &hub.BlanksRequest{}}
	f := c.flags("blanks", func(f *flags) {
		addLabelFlags(f, &o, &out)
		o.Blanks.Count = 24
		f.intVar(&o.Blanks.Count, "count")
		f.StringVar(&o.Blanks.Piece, "piece", "", "")
	})
	batchName, err := f.parseWithArgument(args, "the name of a batch")
	if err != nil {
		return err
	}
	o.LabelKind = "blanks"
	if o.Blanks.Piece != "" {
		o.LabelKind = "tags"
	}
	o.Batch, o.Blanks.Batch, o.Blanks.Sheet = batchName, batchName, o.Sheet
	return c.printLabelFiles(*f.data, o, out)
}

// addLabelFlags adds the flags that every command for labels has.
func addLabelFlags(f *flags, o *labelFilesRequest, out *string) {
	f.StringVar(&o.Sheet, "sheet", defaultSheet, "")
	f.StringVar(out, "out", "labels.pdf", "")
	o.StartPosition = 1
	f.intVar(&o.StartPosition, "start")
	f.intVar(&o.DPI, "dpi")
	f.BoolVar(&o.BlackAndWhite, "mono", false, "")
	f.BoolVar(&o.CutLines, "cut", false, "")
	f.usVar(&o.Style)
}

// parseWithArgument parses args and returns the one argument, which may come before or
// after the flags. what names it in an error.
func (f *flags) parseWithArgument(args []string, what string) (string, error) {
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		return args[0], f.parse(args[1:], 0)
	}
	f.argumentName = what
	if err := f.parse(args, 1); err != nil {
		return "", err
	}
	return f.Arg(0), nil
}

// printLabelFiles makes the files that o asks for, in the running program or here, writes
// the files, and then records that the labels of bags were printed.
func (c command) printLabelFiles(data string, o labelFilesRequest, out string) error {
	o.Format = strings.ToLower(strings.TrimPrefix(filepath.Ext(out), "."))
	if o.Format != "pdf" && o.Format != "svg" && o.Format != "png" {
		return usage("labels cannot be written to %q: the name must end in .pdf, .svg or .png", out)
	}
	if _, err := sheet.FindPaper(o.Sheet); err != nil {
		return &usageError{fault.AsFault(err)}
	}
	if err := checkWritable(out); err != nil { // before numbers are reserved for blanks
		return err
	}
	var made labelFiles
	running, err := callProgram(c.ctx, data, "labels", o, &made)
	if !running {
		err = c.withJournal(data, func(h *hub.Hub) error {
			l, err := newLabelRenderer().makeLabels(c.ctx, h, o)
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
	if running {
		_, err = callProgram(c.ctx, data, "printed", made.Labels, &struct{}{})
	} else {
		err = c.withJournal(data, func(h *hub.Hub) error {
			return h.RecordLabelsPrinted(context.WithoutCancel(c.ctx), h.LocalAsker(), made.Labels) // the files exist by now
		})
	}
	c.reportLabels(made, names)
	return err
}

// withJournal runs use on the journal while no program runs.
func (c command) withJournal(data string, use func(*hub.Hub) error) error {
	path := filepath.Join(data, journalFile)
	if _, err := os.Stat(path); err != nil {
		return fault.New(fault.NotFound, "there is no journal at %s", path).WithHint("name another folder with --data")
	}
	s, err := store.Open(path, store.Options{OnDamage: c.warnDamage})
	if err != nil {
		return err
	}
	defer s.Close()
	h, err := hub.Open(storeJournal{s}, api.Identity{}, machineSystem())
	if err != nil {
		return err
	}
	defer h.Close()
	return use(h)
}

// checkWritable returns a fault when no file can be written at path. It leaves none
// there.
func checkWritable(path string) error {
	_, missing := os.Lstat(path)
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, 0o644)
	if err != nil {
		return writeError(path, err)
	}
	f.Close()
	if missing != nil {
		os.Remove(path)
	}
	return nil
}

func writeError(path string, err error) error {
	return fault.New(fault.Full, "the file %s cannot be written: %v", path, err)
}

// writeFiles writes one file to out, and several to out with a number before the
// extension.
func writeFiles(out string, files [][]byte) (names []string, err error) {
	ext := filepath.Ext(out)
	for i, b := range files {
		name := out
		if len(files) > 1 {
			name = strings.TrimSuffix(out, ext) + "-" + strconv.Itoa(i+1) + ext
		}
		if err := os.WriteFile(name, b, 0o644); err != nil {
			return nil, writeError(name, err)
		}
		names = append(names, name)
	}
	return names, nil
}

// reportLabels prints what was made, and what the labels omit.
func (c command) reportLabels(made labelFiles, names []string) {
	where := names[0]
	if len(names) > 1 {
		where += " to " + names[len(names)-1]
	}
	all := make([]string, len(made.Labels.Labels))
	for i, l := range made.Labels.Labels {
		all[i] = l.Text.Number
	}
	fmt.Fprintf(c.out, "%s in %s: %s\n", plural(len(all), "label"), where, joinNumbers(all))
	var notes []string // each once, in order
	labelsOf := map[string][]string{}
	addNote := func(number, note string) {
		if labelsOf[note] == nil {
			notes = append(notes, note)
		}
		labelsOf[note] = append(labelsOf[note], number)
	}
	for _, number := range made.Unlabelled {
		addNote(number, "no label can be made; check in the app when the bag was closed")
	}
	for _, m := range made.Omitted {
		if len(m.DroppedParts) > 0 {
			addNote(m.Number, "no room for "+strings.Join(m.DroppedParts, ", "))
		}
		if m.UnknownCharacters != "" {
			addNote(m.Number, "no font has "+m.UnknownCharacters+", printed as □")
		}
	}
	for _, note := range notes {
		fmt.Fprintf(c.out, "%s: %s\n", joinNumbers(labelsOf[note]), note)
	}
	fmt.Fprintln(c.out, "print at 100 % on a laser printer, or tie each tag on in a small clear bag: inkjet runs when it gets wet")
}

// joinNumbers lists numbers in their order: "5 to 7, 9".
func joinNumbers(numbers []string) string { return strings.Join(label.GatherRuns(numbers), ", ") }
