// Command coldbatch is the program in the house: it serves the phone app, keeps
// the journal, and answers the calculators on the command line. `coldbatch help`
// says how it is called.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

// version is set by the release build; otherwise the version is that of the Go build.
var version string

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	c := command{ctx: ctx, out: os.Stdout, err: os.Stderr, env: os.Getenv}
	code := c.run(os.Args[1:])
	stop()
	os.Exit(code)
}
