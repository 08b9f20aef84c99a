package fault

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// Another error's text may hold a path or a secret: only a Fault's own sentence
// reaches a person.
func TestOfGivesNothingAway(t *testing.T) {
	if AsFault(nil) != nil {
		t.Error("no error became a fault")
	}
	f := AsFault(errors.New("open /home/someone/secret"))
	if f.Code != Internal || strings.Contains(f.Error(), "secret") {
		t.Errorf("told as %q", f)
	}
	wrapped := fmt.Errorf("while reading: %w", New(Input, "%q is not a colour", "soup"))
	if f := AsFault(wrapped); f.Code != Input || f.Sentence != `"soup" is not a colour` {
		t.Errorf("a wrapped fault is told as %+v", f)
	}
	if !Is(wrapped, Input) || Is(wrapped, Missing) || Is(errors.New("x"), Internal) {
		t.Error("the code of a wrapped fault is not found, or another is")
	}
}

// At and WithHint give copies: a fault that is kept as a variable stays as it is.
func TestCopies(t *testing.T) {
	f := New(Missing, "no volume is given")
	g := f.At("volume", "").WithHint("such as %s", "8 fl oz")
	if f.Input != "" || f.Hint != "" {
		t.Errorf("the first became %+v", f)
	}
	if g.Error() != "no volume is given (such as 8 fl oz)" || g.Input != "volume" || g.Code != Missing {
		t.Errorf("the copy is %+v: %s", g, g)
	}
}
