package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// matrixOptions are the flags of matrix.
type matrixOptions struct {
	target
	rows, columns []string
	format        string
	policy        []string
}

func matrixCommand() *cobra.Command {
	o := &matrixOptions{}
	cmd := &cobra.Command{
		Use:   "matrix BUILD --rows ITEM=FILES --columns ITEM=FILES",
		Short: "Show which of many parts go with which of many others in a build",
		Long: `Show which of many parts go with which of many others: every part of the rows in
the place of one item of a build, with every part of the columns in the place of
another. Parts come from files (YAML with several parts, JSON lines) or from folders
of them; those of another kind than the item's are left out.

Rows are written as they are answered. What is wrong with the build without both parts
is not held against a pair.

The exit code is 0 when some pair fits, 1 when none does.`,
		Example: "  slipfit matrix build.yaml --rows card=parts/cards.yaml --columns enclosure=parts/chassis.yaml",
		Args:    cobra.ExactArgs(1),
		RunE:    func(cmd *cobra.Command, args []string) error { return matrix(cmd, o, args[0]) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringArrayVar(&o.rows, "rows", nil, "put parts in the place of an item down the side, as `ITEM=FILES`; may be given again for more files")
	f.StringArrayVar(&o.columns, "columns", nil, "put parts in the place of an item across, as `ITEM=FILES`; may be given again for more files")
	f.StringVar(&o.format, "format", "text", "write the matrix as `text` or ndjson")
	f.StringArrayVar(&o.policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	_ = cmd.MarkFlagRequired("rows")
	_ = cmd.MarkFlagRequired("columns")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "ndjson"}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

// matrixSide is the parts of the rows or of the columns.
type matrixSide struct {
	item  string
	files partFiles
}

func readSide(flag string, values []string, build *v1.Build) (*matrixSide, error) {
	side := &matrixSide{}
	for _, v := range values {
		item, path, ok := strings.Cut(v, "=")
		if !ok || item == "" || path == "" {
			return nil, fmt.Errorf("--%s is ITEM=FILES, not %q", flag, v)
		}
		if side.item != "" && side.item != item {
			return nil, fmt.Errorf("--%s names the items %s and %s; it stands for one", flag, side.item, item)
		}
		if path == "-" {
			return nil, fmt.Errorf("--%s takes files and folders, not standard input", flag)
		}
		side.item = item
		side.files.paths = append(side.files.paths, path)
	}
	kinds, err := kindsFor(build, side.item, nil)
	if err != nil {
		return nil, fmt.Errorf("--%s: the build holds no item %q; name one that it holds", flag, side.item)
	}
	side.files.kinds = kinds
	return side, nil
}

// parts reads everything; a part that cannot be read is told and left out.
func (s *matrixSide) parts(errOut io.Writer) (out []*v1.Part, err error) {
	for entry, err := range s.files.all() {
		if err != nil {
			return nil, err
		}
		if entry.Err != nil {
			fmt.Fprintln(errOut, "slipfit:", plainError(entry.Err))
			continue
		}
		out = append(out, entry.Message)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: no part of the kind %s can be read there", strings.Join(s.files.paths, ", "), strings.Join(s.files.kinds, " or "))
	}
	return out, nil
}

func matrix(cmd *cobra.Command, o *matrixOptions, file string) error {
	if !slices.Contains([]string{"text", "ndjson"}, o.format) {
		return &exit{exitUsage, fmt.Errorf("--format is text or ndjson, not %q", o.format)}
	}
	policy, err := policyValues(o.policy)
	if err != nil {
		return &exit{exitUsage, err}
	}
	entry, err := oneBuild(cmd.InOrStdin(), file)
	if err == nil {
		err = entry.Err
	}
	if err != nil {
		return usage(err)
	}
	rows, err := readSide("rows", o.rows, entry.Message)
	if err != nil {
		return usage(err)
	}
	columns, err := readSide("columns", o.columns, entry.Message)
	if err != nil {
		return usage(err)
	}
	across, err := columns.parts(cmd.ErrOrStderr())
	if err != nil {
		return usage(err)
	}
	plan := &v1.MatrixPlan{Build: entry.Message, RowItem: &rows.item, ColumnItem: &columns.item, Policy: policy}
	show := &matrixShower{out: cmd.OutOrStdout(), format: o.format, plan: plan, columns: across}
	err = o.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		return planError(converse(ctx, conn, plan, rows, across, show, cmd.ErrOrStderr()), entry)
	})
	show.end()
	if err == nil && show.fit == 0 {
		return &exit{code: exitFails}
	}
	return err
}

// converse sends plan, columns and rows, and shows what comes.
func converse(ctx context.Context, conn *grpc.ClientConn, plan *v1.MatrixPlan, rows *matrixSide, across []*v1.Part, show *matrixShower, errOut io.Writer) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	stream, err := v1.NewShortlistServiceClient(conn).Matrix(ctx)
	if err != nil {
		return err
	}
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		if err := sendMatrix(stream, plan, rows, across, errOut); err != nil {
			cancel(usage(err))
		}
	}()
	for err == nil {
		var m *v1.MatrixResponse
		if m, err = stream.Recv(); err == nil {
			err = show.take(m)
		}
	}
	if cause := context.Cause(ctx); cause != nil {
		err = cause
	}
	cancel(nil)
	<-sent
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

func sendMatrix(stream grpc.BidiStreamingClient[v1.MatrixRequest, v1.MatrixResponse], plan *v1.MatrixPlan, rows *matrixSide, across []*v1.Part, errOut io.Writer) error {
	send := func(m *v1.MatrixRequest) bool { return stream.Send(m) == nil } // Recv tells why not
	if !send(&v1.MatrixRequest{Content: &v1.MatrixRequest_Plan{Plan: plan}}) {
		return nil
	}
	for _, part := range across {
		if !send(&v1.MatrixRequest{Content: &v1.MatrixRequest_Column{Column: part}}) {
			return nil
		}
	}
	down, err := rows.parts(errOut)
	if err != nil {
		return err
	}
	for _, part := range down {
		if !send(&v1.MatrixRequest{Content: &v1.MatrixRequest_Row{Row: part}}) {
			return nil
		}
	}
	return stream.CloseSend()
}

// matrixShower writes rows as they come.
type matrixShower struct {
	out     io.Writer
	format  string
	plan    *v1.MatrixPlan
	columns []*v1.Part
	begun   bool
	row     uint64 // that is being written
	fit     int
	shares  bool                 // whether a cell has told one
	why     map[matrixReason]int // pairs that do not fit
}

// matrixReason is what decides that a pair does not fit.
type matrixReason struct {
	verdict v1.Verdict
	rule    string
}

// matrixNames is how wide the names of rows are.
const matrixNames = 28

func (s *matrixShower) take(m *v1.MatrixResponse) error {
	for _, c := range m.Cells {
		s.count(c)
	}
	if s.format == "ndjson" {
		return writeJSON(s.out, m, false)
	}
	if !s.begun {
		s.head()
	}
	if !s.begun || s.row != m.GetRow() {
		if s.begun {
			fmt.Fprintln(s.out)
		}
		fmt.Fprintf(s.out, "  %-*s", matrixNames, shortened(nameOf(m.GetName(), m.GetId()), matrixNames))
	}
	s.begun, s.row = true, m.GetRow()
	if m.Refusal != nil {
		fmt.Fprint(s.out, "  REFUSED: ", shortened(report.Plain(m.GetRefusal().GetReason()), 120))
	}
	for _, c := range m.Cells {
		fmt.Fprintf(s.out, "  %-8s", cell(c))
	}
	return nil
}

// count keeps what the end tells of a pair.
func (s *matrixShower) count(c *v1.Candidate) {
	switch {
	case c.Refusal != nil:
	case c.GetVerdict() < v1.Verdict_VERDICT_UNKNOWN:
		s.fit++
		s.shares = s.shares || tellsShare(c)
	default:
		if s.why == nil {
			s.why = make(map[matrixReason]int)
		}
		s.why[matrixReason{c.GetVerdict(), c.GetFinding().GetRule()}]++
	}
}

// tellsShare tells whether a cell says how much the pair has to spare.
func tellsShare(c *v1.Candidate) bool {
	return c.GetVerdict() < v1.Verdict_VERDICT_MARGINAL && c.MarginShare != nil
}

// cell is a pair in one word, with what it has to spare where it fits.
func cell(c *v1.Candidate) string {
	switch {
	case c.Refusal != nil:
		return "REFUSED"
	case !tellsShare(c):
		return report.Word(c.GetVerdict())
	}
	return fmt.Sprintf("PASS%3.0f%%", min(999, 100*c.GetMarginShare()))
}

// head says what the columns are.
func (s *matrixShower) head() {
	fmt.Fprintf(s.out, "For %s down and %s across in: %s\n\n", s.plan.GetRowItem(), s.plan.GetColumnItem(),
		report.Plain(s.plan.Build.GetTitle()))
	for i, part := range s.columns {
		fmt.Fprintf(s.out, "  %-4d%s\n", i+1, nameOf(part.GetName(), part.GetId()))
	}
	fmt.Fprintf(s.out, "\n  %-*s", matrixNames, "")
	for i := range s.columns {
		fmt.Fprintf(s.out, "  %-8d", i+1)
	}
	fmt.Fprintln(s.out)
}

// end closes the last line and says what the words of the table rest on.
func (s *matrixShower) end() {
	if !s.begun || s.format != "text" {
		return
	}
	fmt.Fprintln(s.out)
	if s.shares {
		fmt.Fprint(s.out, "\n  A share is what the pair has to spare in its tightest place.\n")
	}
	if len(s.why) == 0 {
		return
	}
	fmt.Fprint(s.out, "\nPairs that do not fit, by the rule that decides; --format ndjson has each finding:\n\n")
	reasons := slices.SortedFunc(maps.Keys(s.why), func(a, b matrixReason) int {
		return cmp.Or(s.why[b]-s.why[a], strings.Compare(a.rule, b.rule), int(b.verdict-a.verdict))
	})
	var rows [][]string
	for _, r := range reasons {
		rows = append(rows, []string{fmt.Sprint(s.why[r]), report.Word(r.verdict), report.Plain(r.rule)})
	}
	writeColumns(s.out, rows, "rl")
}
