package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"slipfit.example/clients/audit"
	"slipfit.example/clients/lines"
	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
	auditrules "slipfit.example/rules/audit"
	"slipfit.example/rules/kit"
	"slipfit.example/server/document"
)

// auditOptions are the flags of audit.
type auditOptions struct {
	columns  string
	format   string
	reach    int
	formulas bool
}

func auditCommand() *cobra.Command {
	o := &auditOptions{}
	cmd := &cobra.Command{
		Use:   "audit FILE...",
		Short: "Judge catalogue entries: plausible, agreeing with themselves, complete, single",
		Long: `Judge catalogue entries, each on its own: whether its figures lie where those of
its kind lie, agree with each other, and suffice for the questions of every pack;
and look for entries that stand twice.

Files are parts as YAML, JSON or NDJSON, or with --map a shop's table as CSV; all
may be compressed (.gz, .zst). "-" reads standard input: parts as YAML or NDJSON,
or a table.

The exit code is 0 when nothing is wrong, 1 when an entry is wrong, 2 when only
questions are open, 64 when the call or a table's heading is bad.`,
		Example: "  slipfit audit clients/demo/parts/fans.yaml\n  slipfit audit shop.csv --map columns.yaml --format sarif",
		Args:    cobra.MinimumNArgs(1),
		RunE:    func(cmd *cobra.Command, files []string) error { return runAudit(cmd, o, files) },
	}
	f := cmd.Flags()
	f.StringVar(&o.columns, "map", "", "read tables by the map of columns in `FILE`")
	f.StringVar(&o.format, "format", "text", "write `text`, "+strings.Join(audit.Formats[1:], ", "))
	f.IntVar(&o.reach, "reach", audit.DefaultReach, "find doubles that lie up to `N` entries apart")
	f.BoolVar(&o.formulas, "formulas", false, "leave cells of CSV that look like formulas as they are")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(audit.Formats, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func runAudit(cmd *cobra.Command, o *auditOptions, files []string) error {
	var columns *audit.Columns
	if o.columns != "" {
		f, err := os.Open(o.columns)
		if err != nil {
			return &exit{exitUsage, fmt.Errorf("%s cannot be opened: %w", o.columns, errors.Unwrap(err))}
		}
		columns, err = audit.ReadColumns(o.columns, f)
		_ = f.Close()
		if err != nil {
			return &exit{exitUsage, err}
		}
	}
	auditor, rules, version, err := newAuditor()
	if err != nil {
		return &exit{exitBroke, err}
	}
	out := bufio.NewWriterSize(cmd.OutOrStdout(), 64<<10)
	writer, err := audit.NewWriter(o.format, out, audit.Options{Formulas: o.formulas, Rules: rules, Version: version})
	if err != nil {
		return &exit{exitUsage, err}
	}
	in := &auditInput{cmd: cmd, columns: columns, files: files}
	summary, err := auditor.Run(cmd.Context(), in.items(), o.reach, writer.Write)
	if err == nil {
		err = errors.Join(writer.Close(summary), out.Flush())
	}
	switch {
	case err != nil && !errors.Is(err, context.Canceled):
		return &exit{exitBroke, fmt.Errorf("the audit could not be finished: %w", err)}
	case err != nil:
		return &exit{exitBroke, err}
	case in.bad:
		return &exit{code: exitUsage}
	case summary.Verdicts[v1.Verdict_VERDICT_FAIL] > 0:
		return &exit{code: exitFails}
	case summary.Verdicts[v1.Verdict_VERDICT_UNKNOWN] > 0:
		return &exit{code: exitUnknown}
	}
	return nil
}

// newAuditor makes the auditor of this program's own packs, and gives the rules of
// the audit pack and its version.
func newAuditor() (*audit.Auditor, []*v1.Rule, string, error) {
	evaluator, err := kit.NewEvaluator(auditrules.Pack())
	if err != nil {
		return nil, nil, "", err
	}
	own := evaluator.Describe()
	var others []*v1.Rule
	for _, b := range builtin {
		if b.name == own.GetName() {
			continue
		}
		e, err := kit.NewEvaluator(b.pack())
		if err != nil {
			return nil, nil, "", err
		}
		others = append(others, e.Describe().Rules...)
	}
	judge := func(check []byte) ([]byte, error) {
		var out kit.Outcome
		err := evaluator.Evaluate(check, nil, &out)
		return out.Findings, err
	}
	auditor, err := audit.New(judge, others)
	return auditor, own.Rules, own.GetVersion(), err
}

// auditInput gives the entries of all files, one file after another.
type auditInput struct {
	cmd     *cobra.Command
	columns *audit.Columns
	files   []string
	bad     bool // a file could not be read at all
}

func (in *auditInput) items() iter.Seq[audit.Item] {
	return func(yield func(audit.Item) bool) {
		for _, name := range in.files {
			from, err := lines.Open(name, in.cmd.InOrStdin())
			if err != nil {
				in.tell(err)
				continue
			}
			going := in.file(name, from, yield)
			_ = from.Close()
			if !going {
				return
			}
		}
	}
}

func (in *auditInput) file(name string, from io.Reader, yield func(audit.Item) bool) bool {
	items := audit.Documents(name, from, partResolver())
	if in.columns != nil {
		table, err := audit.OpenTable(name, from, in.columns)
		if err != nil {
			in.tell(err)
			return true
		}
		for _, column := range table.Unmapped {
			fmt.Fprintf(in.cmd.ErrOrStderr(), "%s: the map does not take the column %q; list it under ignore if that is meant\n", report.Plain(name), report.Plain(column))
		}
		items = table.Items()
	}
	for item := range items {
		if !yield(item) {
			return false
		}
	}
	return true
}

func (in *auditInput) tell(err error) {
	in.bad = true
	for line := range strings.Lines(err.Error()) {
		fmt.Fprintln(in.cmd.ErrOrStderr(), report.Plain(strings.TrimRight(line, "\n")))
	}
}

// partResolver reads parts that are named by their file, wherever the user's own
// documents say.
func partResolver() func(fromFile, ref string) (*v1.Part, error) {
	resolve := document.FileResolver("/")
	return func(fromFile, ref string) (*v1.Part, error) {
		absolute, err := filepath.Abs(fromFile)
		if err != nil {
			return nil, err
		}
		return resolve(absolute, ref)
	}
}
