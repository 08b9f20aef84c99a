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
	exitDone   = 0
	exitFailed = 1 // it could not be done
	exitAsked  = 2 // it was asked for in a way that is not understood
)

const help = `coldbatch helps to dye cotton by hand in small batches: it plans, does the sums,
and knows from the temperature when a bag is ready. It serves an app for the
phone and works with no network.

  coldbatch [--data DIR] [--port N] [--https N] [--name NAME] [--here]
            [--tls-cert FILE --tls-key FILE] [--example]
        start the program; open the address it prints
  coldbatch pair [--data DIR]
        a fresh code and link for another phone, while the program runs
  coldbatch calc
        list the calculators
  coldbatch calc NAME
        what a calculator takes, gives, and goes by
  coldbatch calc NAME key=value … [--json]
        calculate
  coldbatch label BATCH [--sheet SHEET] [--out FILE] [--bags 3,8H | --unprinted]
                  [--what WHAT] [--start N] [--cut] [--mono] [--dpi N] [--us]
        print labels of the bags that cure, also while the program runs
  coldbatch blanks BATCH [--count N] [--piece NAME] [--sheet SHEET] [--out FILE] …
        print numbered blanks for bags to come, or tags for a piece
  coldbatch fold --sections COLOURS [--fold FOLD] [--garment GARMENT] [--out FILE.png]
                 [--dye N] [--one-side] [--creases N] [--turns N] [--pleats N]
                 [--center X,Y] [--seed N] [--size N] [--wet] [--json]
        how a folded and dyed piece looks opened out, where white stays inside,
        and how much dye goes on each section
  coldbatch check [--data DIR]
        look through the journal's file, also while the program runs
  coldbatch backup [--data DIR] [--with-authority] OUT
        write a copy of the journal to the file OUT, also while the program runs,
        and of the photos to the folder OUT.photos
  coldbatch take [--data DIR] FILE
        take in a journal that the app saved as a file
  coldbatch authority [--data DIR] [--anew [--unconstrained]]
        whom the phones of this house trust; or found another
  coldbatch version
  coldbatch help

  --data DIR   the folder of the journal (or COLDBATCH_DATA; else %s)
  --port N     the port on this computer, of the page that brings phones in, and
               of sensors: 8090 at first
  --https N    the port of the phones' app: 8443 at first
  --name NAME  the name in the home network: coldbatch, which is coldbatch.local.
               A journal keeps the ports and the name of its first run, since
               phones and labels know them
  --here       answer on this computer alone
  --tls-cert FILE --tls-key FILE
               a certificate of your own for that name, instead of the program's
  --example    open an invented example instead of the journal
  --sheet SHEET
               a4-70x37, a4-105x74, letter-2.62x1, letter-4x2, roll-62,
               roll-50x30, receipt-58, or a width and a height in mm as in 62x29
  --out FILE   .pdf, or .svg or .png for each page: labels.pdf at first
  --what WHAT  bags, or blanks or tags again, bottles, bucket
  --unprinted  only bags without a label that still holds
  --start N    the first free label of a half-used sheet, counted in rows
  --cut        lines to cut along, for plain paper
  --mono       for a printer with black alone
  --dpi N      of the printer: 600 for sheets, 203 for rolls at first
  --us         degrees Fahrenheit, ounces, and a clock with am and pm
  --sections COLOURS
               in their order on the bundle: 'rust;deep yellow;blue-green', a
               word, #b3433a or a Colour Index name such as 'red 2' each
  --fold FOLD  flat, accordion, diagonal, rings, spiral, double-spiral,
               radial-pleats, folded-square, folded-triangle, crumple
  --garment GARMENT
               tee-s to tee-xl, child-tee, pillowcase, apron, tea-towel, napkin,
               bandana, scarf, tote, square-60, or 60x90 in cm
  --dye N      per cent of what the cloth takes, 110 at first, half on each side
  --creases N  per cent of the dye that is squeezed into the creases
  --with-authority
               also copy the authority to OUT.ca.key and OUT.ca.crt. Keep the key
               to yourself: who has it can pass for this program

For instance, how much powder goes into a bottle of 2 fl oz:

  coldbatch calc bottle strength='25 g/L' bottle='60 mL'
`

// command is one call of the program, with all it may touch.
type command struct {
	ctx      context.Context // ends when the program should stop
	out, err io.Writer
	env      func(string) string
}

// run does what args say and gives the exit code.
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
	case "take":
		err = c.take(args)
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
		return exitDone
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprintf(c.out, help, c.defaultFolder())
		return exitDone
	}
	fmt.Fprintln(c.err, "coldbatch:", fault.Of(c.logged(err)).Error())
	if u := (*usageError)(nil); errors.As(err, &u) || fault.Is(err, fault.Input) || fault.Is(err, fault.Missing) {
		return exitAsked
	}
	return exitFailed
}

// logged prints what a person is not told of an error that is our own.
func (c command) logged(err error) error {
	if fault.Of(err).Code == fault.Internal {
		log.New(c.err, "", log.LstdFlags).Print(err)
	}
	return err
}

// usageError is a command that is not understood.
type usageError struct{ *fault.Fault }

func (u *usageError) Unwrap() error { return u.Fault }

func usage(format string, args ...any) error {
	return &usageError{fault.New(fault.Input, format, args...).WithHint("`coldbatch help` lists what there is")}
}

// flags are the flags of one command. All are checked before anything is done.
type flags struct {
	*flag.FlagSet
	data  *string
	takes string // its one argument, in words
}

// whole is a flag that takes a whole number; into holds what it is where it is not
// given.
func (f *flags) whole(into *int, name string) {
	f.Func(name, "", func(text string) error {
		n, err := strconv.Atoi(text)
		if err != nil {
			return errors.New("it takes a whole number")
		}
		*into = n
		return nil
	})
}

// flags makes the flags of a command; define adds its own, and nil means that
// it takes none at all.
func (c command) flags(name string, define func(*flags)) *flags {
	f := &flags{FlagSet: flag.NewFlagSet(name, flag.ContinueOnError)}
	f.SetOutput(io.Discard)
	if define != nil {
		f.data = f.String("data", c.folder(), "")
		define(f)
	}
	return f
}

// parse reads args, of which want are left as arguments.
func (f *flags) parse(args []string, want int) error {
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return usage("%s: %v", f.Name(), err)
	}
	switch {
	case f.NArg() == want:
	case f.takes != "":
		return usage("%s takes %s", f.Name(), f.takes)
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
