// Package fault holds errors for people: a code, a sentence, and a hint (Fault). Start with New.
// The package formats nothing for a screen and knows nothing of HTTP or exit codes; the
// edges map Code to these.
package fault

import (
	"errors"
	"fmt"
)

// Code is the kind of an error, for a program to act on.
type Code string

// All codes.
const (
	Input       Code = "input"       // a value is not accepted
	Missing     Code = "missing"     // a required value is missing
	NotFound    Code = "not-found"   // there is no such thing
	Refused     Code = "refused"     // the asker may not do that
	Conflict    Code = "conflict"    // the present state does not allow it
	Unsure      Code = "unsure"      // it may be a slip: the person is asked, and may go on
	Newer       Code = "newer"       // written by a newer version of the program
	Locked      Code = "locked"      // another program holds the file
	Full        Code = "full"        // the disk or the storage is full
	Damaged     Code = "damaged"     // a file does not have the expected content
	Unavailable Code = "unavailable" // something that is needed is not there now
	Internal    Code = "internal"    // a mistake in the program; details go to the log
)

// Fault is an error that a person reads: lower case, no full stop. It names what was
// tried and which value was wrong, and hints at what is accepted.
type Fault struct {
	Code     Code   `json:"code"`
	Sentence string `json:"sentence"`
	Input    string `json:"input,omitempty"` // key of the input that is wrong
	Typed    string `json:"typed,omitempty"` // what the person wrote
	Hint     string `json:"hint,omitempty"`  // what is accepted, or what to do
}

// New returns a fault; format and args are as in fmt.Sprintf.
func New(code Code, format string, args ...any) *Fault {
	return &Fault{Code: code, Sentence: fmt.Sprintf(format, args...)}
}

// Error returns the sentence and, in brackets, the hint if there is one.
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

// AsFault returns the Fault in err's chain. Any other error becomes an Internal
// fault whose sentence does not reveal err's text.
func AsFault(err error) *Fault {
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
