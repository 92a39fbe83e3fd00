package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// checkOptions are the flags of check.
type checkOptions struct {
	target
	format   string
	policy   []string
	packs    []string
	evidence bool
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
	f.StringSliceVar(&o.packs, "packs", nil, "ask these packs only, as `NAME,NAME` or NAME@VERSION")
	f.BoolVar(&o.evidence, "evidence", false, "show inputs and sources of what passes too")
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
	c := &checker{options: o, cmd: cmd, policy: policy, pins: pins, out: cmd.OutOrStdout()}
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
	var policy []*v1.PolicyValue
	for _, p := range o.policy {
		name, number, ok := strings.Cut(p, "=")
		value, err := strconv.ParseFloat(number, 64)
		if !ok || err != nil || name == "" {
			return nil, nil, fmt.Errorf("--policy is NAME=NUMBER, not %q", p)
		}
		policy = append(policy, &v1.PolicyValue{Parameter: &name, Value: &value})
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

// checker checks one file after another and remembers the worst.
type checker struct {
	options *checkOptions
	cmd     *cobra.Command
	client  v1.CheckServiceClient
	policy  []*v1.PolicyValue
	pins    []*v1.PackPin
	out     io.Writer
	worst   v1.Verdict
	bad     bool
	written int
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
	var from io.Reader = c.cmd.InOrStdin()
	shown := "standard input"
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return c.refuse(name, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err)))
		}
		defer func() { _ = f.Close() }()
		from, shown = f, name
	}
	resolve := document.FileResolver("/")
	options := document.Options{Resolve: func(fromFile, ref string) (*v1.Part, error) {
		absolute, err := filepath.Abs(fromFile)
		if err != nil {
			return nil, err
		}
		return resolve(absolute, ref)
	}}
	any := false
	for entry := range document.ReadAll(shown, from, options, func() *v1.Build { return new(v1.Build) }) {
		any = true
		if err := c.entry(ctx, entry); err != nil {
			return err
		}
	}
	if !any {
		return c.refuse(name, fmt.Errorf("%s holds no build", shown))
	}
	return nil
}

func (c *checker) entry(ctx context.Context, entry document.Entry[*v1.Build]) error {
	tag := entry.File
	if entry.Number > 1 {
		tag = fmt.Sprintf("%s, document %d", entry.File, entry.Number)
	}
	if entry.Err != nil {
		return c.refuse(tag, entry.Err)
	}
	request := &v1.CheckRequest{Build: entry.Message, Policy: c.policy, Packs: c.pins}
	if size := proto.Size(request); size > document.MaxEncoded {
		return c.refuse(tag, fmt.Errorf("%s takes %d bytes encoded, more than the %d allowed; leave out parts that are not used", tag, size, document.MaxEncoded))
	}
	answer, err := c.client.Check(ctx, request)
	if st := status.Convert(err); st.Code() == codes.InvalidArgument {
		return c.refuse(tag, violationsOf(st, tag, entry.Places))
	}
	if err != nil {
		return err
	}
	c.worst = max(c.worst, answer.GetVerdict())
	return c.write(tag, entry, answer)
}

// violationsOf tells each violation with its place in the file.
func violationsOf(st *status.Status, file string, places *document.Places) error {
	var lines []string
	for _, d := range st.Details() {
		bad, ok := d.(*errdetails.BadRequest)
		if !ok {
			continue
		}
		for _, v := range bad.FieldViolations {
			// The request wraps the build that the file holds.
			path := strings.TrimPrefix(strings.TrimPrefix(v.GetField(), "build"), ".")
			where := file
			if line, column := places.Find(path); line > 0 && strings.HasPrefix(v.GetField(), "build") {
				where = fmt.Sprintf("%s:%d:%d", file, line, column)
			}
			if path != "" {
				path += ": "
			}
			lines = append(lines, where+": "+path+v.GetDescription())
		}
	}
	if len(lines) == 0 {
		lines = append(lines, file+": "+st.Message())
	}
	return errors.New(strings.Join(lines, "\n"))
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

// writeJSON writes a message by protobuf's JSON mapping with the contract's field
// names, the same bytes for the same message.
func (c *checker) writeJSON(m proto.Message, indent bool) error {
	encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if indent {
		err = json.Indent(&b, encoded, "", "  ")
	} else {
		err = json.Compact(&b, encoded)
	}
	if err != nil {
		return err
	}
	b.WriteByte('\n')
	_, err = c.out.Write(b.Bytes())
	return err
}

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
