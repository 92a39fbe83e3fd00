// Command slipfit tells whether the parts of a small desktop computer go
// together. It checks documents, serves the service, and is its own packs: the
// service starts this same program again for each pack.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"slipfit.example/clients/report"
)

// Exit codes. The first three are the verdict; the others follow sysexits.
const (
	exitFits    = 0  // every verdict PASS or MARGINAL
	exitFails   = 1  // at least one FAIL
	exitUnknown = 2  // no FAIL, at least one UNKNOWN
	exitUsage   = 64 // the call or a document is bad
	exitAway    = 69 // the service cannot be reached
	exitBroke   = 70 // anything else
)

// exit is an error that has been told already and decides the exit code.
type exit struct {
	code int
	err  error
}

func (e *exit) Error() string {
	if e.err == nil {
		return fmt.Sprintf("exit code %d", e.code)
	}
	return e.err.Error()
}

func (e *exit) Unwrap() error { return e.err }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run is main with its surroundings as arguments.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	root := rootCommand()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errOut)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return exitFits
	}
	var known *exit
	if !errors.As(err, &known) {
		// What is not ours is cobra's, and about the call.
		known = &exit{exitUsage, fmt.Errorf("%w\nRun 'slipfit --help' to see what there is", err)}
	}
	if known.err != nil {
		for i, line := range strings.Split(known.err.Error(), "\n") {
			if i == 0 {
				line = "slipfit: " + line
			}
			fmt.Fprintln(errOut, report.Plain(line))
		}
	}
	return known.code
}

func rootCommand() *cobra.Command {
	root := &cobra.Command{
		Use:   "slipfit",
		Short: "Tell whether the parts of a small desktop computer go together",
		Long: `slipfit tells whether the parts of a small desktop computer go together: in
which arrangement, with how many millimetres to spare, on which cables, with
which screws, and how hot. It answers with numbers, evidence and a remedy.

A build is a YAML or JSON file; see clients/demo/builds for some.`,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.AddCommand(checkCommand(), arrangeCommand(), drawCommand(), packsCommand(), serveCommand(), packCommand())
	root.AddCommand(auditCommand(), batchCommand(), workCommand(), handCommand(), schemaCommand())
	root.AddCommand(sheetCommand())
	root.AddCommand(trialCommand(), shadowCommand(), houseCommand())
	root.AddCommand(fitCommand(), forecastCommand())
	root.AddCommand(shortlistCommand(), matrixCommand())
	return root
}
