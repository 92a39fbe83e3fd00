package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/batch"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// batchOptions are the flags of batch.
type batchOptions struct {
	checkOptions
	output     string
	parts      bool
	detail     string
	cards      string
	enclosures string
	cross      []string
	base       string
	inFlight   int
	queue      string
	replicas   int
}

func batchCommand() *cobra.Command {
	o := &batchOptions{}
	cmd := &cobra.Command{
		Use:   "batch [FILE] -o OUT",
		Short: "Check a file of builds or parts, or all combinations of parts, and resume after a kill",
		Long: `Check every line of a file of builds (or with --parts, of parts) as NDJSON, or all
combinations of parts with --cards, --enclosures and --cross. Input and output are
compressed by their names (.gz, .zst). "-" reads standard input.

Each line of the input has one line in the output, in the same order. A run that is
killed is run again with the same command and goes on where it stopped; until the
output is whole it is called OUT.part, beside OUT.journal. Bad lines are told in
the output and the rest goes on. A line that ends the process which answers it, or
takes it too long, is named, answered by the packs that can, and the rest goes on.

With --queue, workers (slipfit work) of the same packs and versions answer, on any
number of machines; parts that lines name by their files are read here.

The exit code is 0 when the output is whole, 64 when the call or a folder of parts is
bad, 65 when the input breaks off, 70 when the run could not go on.`,
		Example: `  slipfit batch builds.ndjson.zst -o answers.ndjson.zst
  slipfit batch --cards cards/ --enclosures cases/ -o matrix.ndjson.gz
  slipfit batch catalogue.ndjson --parts -o judged.ndjson`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error { return runBatch(cmd, o, files) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringVarP(&o.output, "output", "o", "", "write answers to `FILE` (required)")
	f.BoolVar(&o.parts, "parts", false, "take lines as parts, and judge each on its own")
	f.StringVar(&o.detail, "detail", batch.Details[0], "write `findings` that do not pass, verdicts alone, or the full answer")
	f.StringVar(&o.cards, "cards", "", "combine the cards in `PATH`, a file or a folder")
	f.StringVar(&o.enclosures, "enclosures", "", "combine the enclosures in `PATH`")
	f.StringArrayVar(&o.cross, "cross", nil, "combine parts in a role, as `ROLE=PATH`; may be given again")
	f.StringVar(&o.base, "base", "", "set combinations into the build in `FILE`")
	f.IntVar(&o.inFlight, "in-flight", 0, "keep `N` chunks of at most 256 lines on their way (default: two for each processor)")
	f.StringVar(&o.queue, "queue", "", "hand chunks to the queue at `URL`, or to an embedded one: nats://HOST:PORT or embedded")
	f.IntVar(&o.replicas, "replicas", 1, "keep the queue's streams on `N` servers")
	f.StringArrayVar(&o.policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	f.StringSliceVar(&o.packs, "packs", nil, "ask these packs only, as `NAME,NAME` or NAME@VERSION")
	_ = cmd.MarkFlagRequired("output")
	return cmd
}

// exitInput is the code for an input that breaks off (sysexits: EX_DATAERR).
const exitInput = 65

// collectLess has the garbage collector run less often: lines come and go, and what
// stays is small.
func collectLess() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
}

func runBatch(cmd *cobra.Command, o *batchOptions, files []string) error {
	collectLess()
	job, err := o.job()
	if err != nil {
		return &exit{exitUsage, err}
	}
	source, input, closeInput, err := o.source(cmd, job, files)
	if err != nil {
		return &exit{exitUsage, err}
	}
	defer closeInput()
	tty := false
	if f, ok := cmd.ErrOrStderr().(*os.File); ok {
		tty = term.IsTerminal(int(f.Fd()))
	}
	teller := batch.NewTeller(cmd.ErrOrStderr(), tty)
	run := func(ctx context.Context, processor batch.Processor, ruleset string) error {
		progress, err := batch.Run(ctx, source, processor, batch.Options{
			Output: o.output, InFlight: o.inFlight, Identity: identity(job, input, ruleset), Tell: teller.Tell,
		})
		if errors.Is(err, batch.ErrDone) {
			fmt.Fprintln(cmd.ErrOrStderr(), err)
			return nil
		}
		teller.End(progress)
		if err != nil {
			if strings.Contains(err.Error(), "breaks off") {
				return &exit{exitInput, err}
			}
			return &exit{exitBroke, err}
		}
		return nil
	}
	job.File = input
	if o.queue != "" {
		source = batch.NewResolved(source, partResolver())
		return runQueue(cmd, o, run)
	}
	return o.answer(cmd, func(ctx context.Context, a answering) error {
		if o.inFlight <= 0 {
			o.inFlight = 2 * a.hands
		}
		return run(ctx, a, a.rules)
	})
}

// job puts the flags into what is asked of every line.
func (o *batchOptions) job() (*batch.Job, error) {
	detail := slices.Index(batch.Details, o.detail)
	if detail < 0 {
		return nil, fmt.Errorf("--detail is %s, not %q", strings.Join(batch.Details, ", "), o.detail)
	}
	if o.parts && len(o.packs) == 0 {
		o.packs = []string{"audit"}
	}
	policy, pins, err := o.ruleset()
	if err != nil {
		return nil, err
	}
	suffix, err := proto.MarshalOptions{Deterministic: true}.Marshal(&v1.CheckRequest{Policy: policy, Packs: pins})
	if err != nil {
		return nil, err
	}
	return &batch.Job{Parts: o.parts, Detail: batch.Detail(detail), Suffix: suffix}, nil
}

// source opens the input. The name that it gives is that of the file, or the flags
// of a matrix.
func (o *batchOptions) source(cmd *cobra.Command, job *batch.Job, files []string) (batch.Source, string, func(), error) {
	axes := slices.Clone(o.cross)
	if o.cards != "" {
		axes = append([]string{"card=" + o.cards}, axes...)
	}
	if o.enclosures != "" {
		axes = append(axes, "enclosure="+o.enclosures)
	}
	if len(axes) > 0 == (len(files) > 0) {
		return nil, "", nil, errors.New("name either one file or a matrix (--cards, --enclosures, --cross)")
	}
	if len(axes) > 0 {
		source, err := o.matrix(job, axes)
		return source, strings.Join(append(axes, o.base), " "), func() {}, err
	}
	name := files[0]
	if name == "-" {
		source, err := batch.NewLineSource(name, cmd.InOrStdin(), 0, job)
		return source, name, func() {}, err
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, "", nil, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err))
	}
	var size int64
	if info, err := f.Stat(); err == nil {
		size = info.Size()
	}
	source, err := batch.NewLineSource(name, f, size, job)
	return source, name, func() { _ = f.Close() }, err
}

func (o *batchOptions) matrix(job *batch.Job, flags []string) (batch.Source, error) {
	if o.parts {
		return nil, errors.New("--parts is for a file of parts, not for a matrix")
	}
	var axes []batch.Axis
	for _, flag := range flags {
		role, path, ok := strings.Cut(flag, "=")
		if !ok || role == "" {
			return nil, fmt.Errorf("--cross is ROLE=PATH, not %q", flag)
		}
		parts, err := batch.ReadParts(path, partResolver())
		if err != nil {
			return nil, err
		}
		switch {
		case role == "card":
			parts = slices.DeleteFunc(parts, func(p *v1.Part) bool { return p.GetCard() == nil })
		case role == "enclosure":
			parts = slices.DeleteFunc(parts, func(p *v1.Part) bool { return p.GetChassis() == nil })
		}
		axes = append(axes, batch.Axis{Role: role, Parts: parts})
	}
	var base *v1.Build
	if o.base != "" {
		text, err := os.ReadFile(o.base)
		if err != nil {
			return nil, fmt.Errorf("%s cannot be opened: %w", o.base, errors.Unwrap(err))
		}
		base = new(v1.Build)
		if _, err := (document.Options{Resolve: partResolver()}).Read(o.base, text, base); err != nil {
			return nil, err
		}
	}
	return batch.NewMatrixSource(base, axes, job)
}

// identity is a digest of all that decides the output beside the input's lines.
func identity(job *batch.Job, input, ruleset string) string {
	h := sha256.New()
	fmt.Fprintf(h, "%q %q %t %d %x", input, ruleset, job.Parts, job.Detail, job.Suffix)
	return hex.EncodeToString(h.Sum(nil))
}
