package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/house"
	"slipfit.example/server/document"
)

// checkOptions are the flags of check.
type checkOptions struct {
	target
	format      string
	policy      []string
	policyFile  string
	houseFiles  []string
	packs       []string
	evidence    bool
	calibration string
}

func checkCommand() *cobra.Command {
	o := &checkOptions{}
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "Check builds",
		Long: `Check builds from YAML, JSON, NDJSON or binary protobuf files; "-" reads standard
input. A part may be named by its file: part: ../parts/fans.yaml#some-fan

The exit code is 0 when everything passes or is marginal, 1 when something fails,
2 when nothing fails but something is unknown, 64 when a document is bad.`,
		Example: "  slipfit check build.yaml\n  slipfit check --format json build.yaml\n  slipfit check --policy tolerance.length_mm=1 build.yaml",
		Args:    cobra.MinimumNArgs(1),
		RunE:    func(cmd *cobra.Command, files []string) error { return check(cmd, o, files) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&o.format, "format", "text", "write answers as `text`, json or ndjson")
	f.StringArrayVar(&o.policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	f.StringVar(&o.policyFile, "policy-file", "", "set parameters as `FILE` does; --policy lies over it")
	f.StringSliceVar(&o.houseFiles, "house", nil, "judge by the house rules of `FILES` too")
	f.StringSliceVar(&o.packs, "packs", nil, "ask these packs only, as `NAME,NAME` or NAME@VERSION")
	f.BoolVar(&o.evidence, "evidence", false, "show inputs and sources of what passes too")
	f.StringVar(&o.calibration, "calibration", "", "take along what 'slipfit fit' has written to `FILE`")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "json", "ndjson"}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func check(cmd *cobra.Command, o *checkOptions, files []string) error {
	switch o.format {
	case "text", "json", "ndjson":
	default:
		return &exit{exitUsage, fmt.Errorf("--format is text, json or ndjson, not %q", o.format)}
	}
	policy, pins, err := o.ruleset()
	if err != nil {
		return &exit{exitUsage, err}
	}
	houseRules, err := readHouse(o.houseFiles)
	if err != nil {
		return &exit{exitUsage, err}
	}
	o.house = houseRules != nil
	if o.house && len(pins) > 0 && !slices.ContainsFunc(pins, func(p *v1.PackPin) bool { return p.GetName() == house.Name }) {
		pins = append(pins, &v1.PackPin{Name: proto.String(house.Name)})
	}
	c := &checker{options: o, cmd: cmd, policy: policy, pins: pins, house: houseRules, out: cmd.OutOrStdout()}
	if o.calibration != "" {
		if c.calibration, err = readCalibration(o.calibration); err != nil {
			return &exit{exitUsage, err}
		}
	}
	if err := o.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		c.client = v1.NewCheckServiceClient(conn)
		for _, file := range files {
			if err := c.file(ctx, file); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	return c.exit()
}

// ruleset reads the flags that say what is asked by.
func (o *checkOptions) ruleset() ([]*v1.PolicyValue, []*v1.PackPin, error) {
	policy, err := readPolicy(o.policyFile, o.policy)
	if err != nil {
		return nil, nil, err
	}
	var pins []*v1.PackPin
	for _, p := range o.packs {
		name, version, pinned := strings.Cut(p, "@")
		pin := &v1.PackPin{Name: &name}
		if pinned {
			pin.Version = &version
		}
		pins = append(pins, pin)
	}
	return policy, pins, nil
}

// policyValues reads the values of --policy.
func policyValues(flags []string) (policy []*v1.PolicyValue, err error) {
	for _, p := range flags {
		name, number, ok := strings.Cut(p, "=")
		value, err := strconv.ParseFloat(number, 64)
		if !ok || err != nil || name == "" {
			return nil, fmt.Errorf("--policy is NAME=NUMBER, not %q", p)
		}
		policy = append(policy, &v1.PolicyValue{Parameter: &name, Value: &value})
	}
	return policy, nil
}

// checker checks one file after another and remembers the worst.
type checker struct {
	options *checkOptions
	cmd     *cobra.Command
	client  v1.CheckServiceClient
	policy  []*v1.PolicyValue
	pins    []*v1.PackPin
	house   *string
	out     io.Writer
	// calibration goes with every build, where one is given.
	calibration *v1.Calibration
	worst       v1.Verdict
	bad         bool
	written     int
}

func (c *checker) exit() error {
	switch {
	case c.bad:
		return &exit{code: exitUsage}
	case c.worst == v1.Verdict_VERDICT_FAIL:
		return &exit{code: exitFails}
	case c.worst == v1.Verdict_VERDICT_UNKNOWN:
		return &exit{code: exitUnknown}
	default:
		return nil
	}
}

func (c *checker) file(ctx context.Context, name string) error {
	entries, closeFile, err := openBuilds(c.cmd.InOrStdin(), name)
	if err != nil {
		return c.refuse(name, err)
	}
	defer closeFile()
	any := false
	for entry := range entries {
		any = true
		if err := c.entry(ctx, entry); err != nil {
			return err
		}
	}
	if !any {
		return c.refuse(name, fmt.Errorf("%s holds no build", shownName(name)))
	}
	return nil
}

func (c *checker) entry(ctx context.Context, entry document.Entry[*v1.Build]) error {
	tag := tagOf(entry)
	if c.calibration != nil && entry.Err == nil {
		entry.Message.Calibration = c.calibration
	}
	answer, err := ask(ctx, c.client, entry, &v1.CheckRequest{Policy: c.policy, Packs: c.pins, HouseRules: c.house})
	var bad *badBuild
	if errors.As(err, &bad) {
		return c.refuse(tag, bad.reason)
	}
	if err != nil {
		return err
	}
	c.worst = max(c.worst, answer.GetVerdict())
	return c.write(tag, entry, answer)
}

// refuse tells that a document is bad, and lets the next have its turn.
func (c *checker) refuse(tag string, reason error) error {
	c.bad = true
	if c.options.format == "ndjson" {
		return c.writeJSON(&v1.CheckManyResponse{Tag: &tag, Result: &v1.CheckManyResponse_Refusal{Refusal: &v1.Refusal{
			Code: proto.Int32(int32(codes.InvalidArgument)), Reason: proto.String(reason.Error()),
		}}}, false)
	}
	for line := range strings.Lines(reason.Error()) {
		fmt.Fprintln(c.cmd.ErrOrStderr(), report.Plain(strings.TrimRight(line, "\n")))
	}
	return nil
}

func (c *checker) write(tag string, entry document.Entry[*v1.Build], answer *v1.CheckResponse) error {
	defer func() { c.written++ }()
	switch c.options.format {
	case "json":
		return c.writeJSON(answer, true)
	case "ndjson":
		return c.writeJSON(&v1.CheckManyResponse{Tag: &tag, Result: &v1.CheckManyResponse_Check{Check: answer}}, false)
	}
	if c.written > 0 {
		fmt.Fprintln(c.out)
	}
	width, colour := terminal(c.out)
	return report.Write(c.out, answer, report.Options{
		Width: width, Colour: colour, Evidence: c.options.evidence,
		Title: entry.Message.GetTitle(), File: entry.File,
		Place: func(path string) string {
			if line, _ := entry.Places.Find(path); line > 0 {
				return fmt.Sprintf("%s:%d", entry.File, line)
			}
			return ""
		},
	})
}

func (c *checker) writeJSON(m proto.Message, indent bool) error { return writeJSON(c.out, m, indent) }

// terminal tells how wide to write, and whether in colour: only on a terminal that
// wants it (NO_COLOR, TERM=dumb).
func terminal(out io.Writer) (width int, colour bool) {
	f, ok := out.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return 100, false
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil || width <= 0 {
		width = 80
	}
	return min(width, 120), os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}
