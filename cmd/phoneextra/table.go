// Command phoneextra is the part of the core that few screens need: the calculators, the
// pictures of folded and dyed pieces, and colours read from photos. It is a program of its
// own, made like phonecore: the phone fetches it after the app has started, and drawing does
// not hold up the core.
package main

import "coldbatch/internal/calltable"

// callTable maps names to calls.
type callTable calltable.Table

// extraCalls are all calls of this program.
var extraCalls = calltable.Merge(sumCalls, foldCalls, photoCalls)
