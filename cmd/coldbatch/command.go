package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
)

// The exit codes.
const (
	exitOK     = 0
	exitFailed = 1 // the command failed
	exitUsage  = 2 // the command line was wrong
)

const helpText = `coldbatch helps you dye cotton by hand in small batches: it plans, calculates,
and works out from the temperature when a bag is ready. It serves an app for the phone,
which also works without a network.

  coldbatch [--data DIR] [--port N] [--https N] [--name NAME] [--local-only]
            [--tls-cert FILE --tls-key FILE] [--on-ready COMMAND]
            [--example] [--dev]
        start the program; open the address that it prints
  coldbatch pair [--data DIR]
        print a new code and link for one more phone, while the program runs
  coldbatch calc
        list the calculators
  coldbatch calc NAME
        show a calculator's inputs, results and constants
  coldbatch calc NAME key=value … [--json]
        calculate
  coldbatch label BATCH [--sheet SHEET] [--out FILE] [--bags 3,8H | --unprinted]
                  [--what WHAT] [--start N] [--cut] [--mono] [--dpi N] [--us]
        write labels for curing bags to a file, also while the program runs
  coldbatch blanks BATCH [--count N] [--piece NAME] [--sheet SHEET] [--out FILE] …
        print numbered labels for future bags, or tags for a piece
  coldbatch sheet BATCH [--out FILE.pdf] [--paper a4|letter] [--us]
        print a batch, as planned and as done, on sheets of paper
  coldbatch fold --sections COLOURS [--fold FOLD] [--garment GARMENT] [--out FILE.png]
                 [--dye N] [--one-side] [--creases N] [--turns N] [--pleats N]
                 [--center X,Y] [--seed N] [--size N] [--wet] [--json]
        show how a folded and dyed piece looks opened out, where white stays
        inside, and how much dye each section takes
  coldbatch why BATCH [--bag N] [--fault FAULTS] [--us] [--json]
        say what in the record of a bag probably made it pale, patchy,
        white-inside, bled, muddy, stiff, or other-hue (the wrong hue)
  coldbatch check [--data DIR]
        check the journal's file, also while the program runs
  coldbatch backup [--data DIR] [--with-authority] OUT
        copy the journal to the file OUT, and the photos to the folder OUT.photos,
        also while the program runs
  coldbatch export [--data DIR] FILE
        write everything to FILE: .zip (journal, table and photos), .json (the
        journal) or .csv (one row per bag, for a spreadsheet)
  coldbatch import [--data DIR] FILE
        add a journal that the app saved as a file, or an export
  coldbatch authority [--data DIR] [--renew [--unconstrained]]
        show which authority the phones trust, or replace it
  coldbatch limits [--data DIR] [--helpers N] [--entries N] [--megabytes N]
                   [--photos N] [--things N]
        show how many helpers a batch may have and how much each may send, or
        change it
  coldbatch doctor [--data DIR]
        look at the file, the disk, the clock, the ports, the name, the
        certificate and the firewall, and say what to do
  coldbatch service install|remove|status [--data DIR] …
        have the system start the program whenever you log in, with the flags that
        follow; end that; say whether it runs
  coldbatch version
  coldbatch help

  --data DIR   the folder of the journal (or COLDBATCH_DATA; default %s)
  --port N     the port of the app on this computer, of the joining page and of
               sensors; default 8090
  --https N    the port of the phones' app; default 8443
  --name NAME  the name on the home network; default coldbatch, which means
               coldbatch.local. A journal keeps the ports and the name of its
               first run, because phones and labels contain them
  --local-only answer on this computer alone
  --tls-cert FILE --tls-key FILE
               your own certificate for that name, instead of the program's
  --on-ready COMMAND
               run this program or script, without arguments and without a shell,
               once for the bags that are ready in a place. It finds them as JSON
               on its input, and in its environment as COLDBATCH_TEXT,
               COLDBATCH_BAGS, COLDBATCH_BATCH, COLDBATCH_PLACE and
               COLDBATCH_READY (the time, UTC). A terminal also rings its bell
  --example    open an invented example instead of the journal
  --dev        serve the app's modules one by one, as they are in the source tree
  --sheet SHEET
               a4-70x37, a4-105x74, letter-2.62x1, letter-4x2, roll-62,
               roll-50x30, receipt-58, or width and height in mm such as 62x29
  --out FILE   .pdf, or .svg or .png for each page; default labels.pdf
  --what WHAT  bags, bottles, bucket, or reprint blanks or tags
  --unprinted  only bags whose label is not printed or is out of date
  --start N    the first free label of a used sheet, counted row by row
  --cut        add lines to cut along, for plain paper
  --mono       for a printer that prints only black
  --dpi N      the printer's resolution; default 600 for sheets, 203 for rolls
  --us         degrees Fahrenheit, ounces, and a 12-hour clock
  --sections COLOURS
               in their order on the bundle: 'rust;deep yellow;blue-green', each a
               word, #b3433a or a Colour Index name such as 'red 2'
  --fold FOLD  flat, accordion, diagonal, rings, spiral, double-spiral,
               radial-pleats, folded-square, folded-triangle, crumple
  --garment GARMENT
               tee-s to tee-xl, child-tee, pillowcase, apron, tea-towel, napkin,
               bandana, scarf, tote, square-60, or 60x90 in cm
  --dye N      per cent of what the cloth takes; default 110, half on each side
  --creases N  per cent of the dye that is squeezed into the creases
  --with-authority
               also copy the authority to OUT.ca.key and OUT.ca.crt. Keep the key
               secret: whoever has it can pass for this program

For example, how much powder goes into a bottle of 60 mL:

  coldbatch calc bottle strength='25 g/L' bottle='60 mL'
`

// command is one invocation of the program, with everything it may use.
type command struct {
	ctx      context.Context // ends when the program should stop
	out, err io.Writer
	env      func(string) string
}

// run runs the command in args and returns the exit code.
func (c command) run(args []string) int {
	name := "serve"
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		name, args = args[0], args[1:]
	}
	var err error
	switch name {
	case "serve":
		err = c.serve(args)
	case "calc":
		err = c.calc(args)
	case "fold":
		err = c.foldCommand(args)
	case "why":
		err = c.why(args)
	case "check":
		err = c.check(args)
	case "backup":
		err = c.backup(args)
	case "pair":
		err = c.pair(args)
	case "label":
		err = c.label(args)
	case "blanks":
		err = c.blanks(args)
	case "sheet":
		err = c.batchSheet(args)
	case "export":
		err = c.export(args)
	case "import", "take": // take is its name in earlier versions
		err = c.importFile(args)
	case "limits":
		err = c.limits(args)
	case "doctor":
		err = c.doctor(args)
	case "service":
		err = c.service(args)
	case "authority":
		err = c.authority(args)
	case "version":
		if err = c.flags(name, nil).parse(args, 0); err == nil {
			fmt.Fprintln(c.out, "coldbatch", buildVersion())
		}
	case "help":
		err = flag.ErrHelp
	default:
		err = usage("there is no command %q", name)
	}
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprintf(c.out, helpText, c.defaultFolder())
		return exitOK
	}
	fmt.Fprintln(c.err, "coldbatch:", fault.AsFault(c.logInternal(err)).Error())
	if u := (*usageError)(nil); errors.As(err, &u) || fault.Is(err, fault.Input) || fault.Is(err, fault.Missing) {
		return exitUsage
	}
	return exitFailed
}

// logInternal logs an internal error, whose text the message to the person omits.
func (c command) logInternal(err error) error {
	if fault.AsFault(err).Code == fault.Internal {
		log.New(c.err, "", log.LstdFlags).Print(err)
	}
	return err
}

// usageError says what is wrong with a command line.
type usageError struct{ *fault.Fault }

func (u *usageError) Unwrap() error { return u.Fault }

func usage(format string, args ...any) error {
	return &usageError{fault.New(fault.Input, format, args...).WithHint("`coldbatch help` lists all commands and flags")}
}

// flags are the flags of one command. They are all checked before the command does
// anything.
type flags struct {
	*flag.FlagSet
	data         *string
	argumentName string // what its one argument is, for an error
}

// intVar adds a flag for a whole number. Where the flag is absent, into keeps its value.
func (f *flags) intVar(into *int, name string) {
	f.Func(name, "", func(text string) error {
		n, err := strconv.Atoi(text)
		if err != nil {
			return errors.New("it takes a whole number")
		}
		*into = n
		return nil
	})
}

// flags makes the flags of a command. define adds its own; with nil it has none, not even
// --data.
func (c command) flags(name string, define func(*flags)) *flags {
	f := &flags{FlagSet: flag.NewFlagSet(name, flag.ContinueOnError)}
	f.SetOutput(io.Discard)
	if define != nil {
		f.data = f.String("data", c.dataFolder(), "")
		define(f)
	}
	return f
}

// parse parses args and checks that want arguments are left.
func (f *flags) parse(args []string, want int) error {
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return usage("%s: %v", f.Name(), err)
	}
	switch {
	case f.NArg() == want:
	case f.argumentName != "":
		return usage("%s takes %s", f.Name(), f.argumentName)
	default:
		return usage("%s takes %d arguments, not %d", f.Name(), want, f.NArg())
	}
	if f.data != nil {
		abs, err := filepath.Abs(*f.data)
		if err != nil || *f.data == "" {
			return usage("%s: %q is not a folder", f.Name(), *f.data)
		}
		*f.data = abs
	}
	return nil
}

func buildVersion() string {
	if version != "" {
		return version
	}
	if b, ok := debug.ReadBuildInfo(); ok && b.Main.Version != "" && b.Main.Version != "(devel)" {
		return b.Main.Version
	}
	return "devel"
}
