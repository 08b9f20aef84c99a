// Package fault holds what the program says when something is wrong or
// dangerous, and where a number comes from: an error with a code and a human
// sentence (Fault), a caution as data (Caution), and the mark of a source
// (Source, Value). Start with New for an error and with the Mark constants for
// a source. It formats nothing for a screen and knows nothing of HTTP or exit
// codes: the edges map Code to those.
package fault

import (
	"errors"
	"fmt"
)

// Code says what kind of thing went wrong, for a program to act on.
type Code string

// The codes, all of them.
const (
	Input       Code = "input"       // a value is not one that is accepted
	Missing     Code = "missing"     // a needed value was not given
	NotFound    Code = "not-found"   // there is no such thing
	Refused     Code = "refused"     // the asker may not do that
	Conflict    Code = "conflict"    // it cannot be done as things stand
	Newer       Code = "newer"       // written by a newer version of the program
	Locked      Code = "locked"      // another program holds the file
	Full        Code = "full"        // the disk or the storage is full
	Damaged     Code = "damaged"     // a file is not what it should be
	Unavailable Code = "unavailable" // needed part is not there now
	Internal    Code = "internal"    // our own mistake; details go to the log
)

// Fault is an error told to a person: lower case, no full stop, naming what was
// tried and which value was wrong, with a hint of what is accepted.
type Fault struct {
	Code     Code   `json:"code"`
	Sentence string `json:"sentence"`
	Input    string `json:"input,omitempty"` // key of the input that is meant
	Typed    string `json:"typed,omitempty"` // what the person wrote
	Hint     string `json:"hint,omitempty"`  // what is accepted, or what to do
}

// New makes a fault; format and args are as in fmt.Sprintf.
func New(code Code, format string, args ...any) *Fault {
	return &Fault{Code: code, Sentence: fmt.Sprintf(format, args...)}
}

// Error gives the sentence and, where there is one, the hint.
func (f *Fault) Error() string {
	if f.Hint == "" {
		return f.Sentence
	}
	return f.Sentence + " (" + f.Hint + ")"
}

// At returns a copy that names the input key and what was typed there.
func (f *Fault) At(input, typed string) *Fault {
	c := *f
	c.Input, c.Typed = input, typed
	return &c
}

// WithHint returns a copy with a hint of what is accepted or what to do.
func (f *Fault) WithHint(format string, args ...any) *Fault {
	c := *f
	c.Hint = fmt.Sprintf(format, args...)
	return &c
}

// Of returns the Fault in err's chain. Any other error becomes an Internal
// fault whose sentence does not give away err's text.
func Of(err error) *Fault {
	if err == nil {
		return nil
	}
	var f *Fault
	if errors.As(err, &f) {
		return f
	}
	return New(Internal, "something went wrong inside the program; it is in the log")
}

// Is reports whether err carries a Fault with that code.
func Is(err error, code Code) bool {
	var f *Fault
	return errors.As(err, &f) && f.Code == code
}
