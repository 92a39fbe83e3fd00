package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/trial"
	v1 "slipfit.example/proto/slipfit/v1"
)

// trialOptions are the flags of trial.
type trialOptions struct {
	target
	baseline, candidate string
	format, out         string
	failOn              []string
	examples            int
}

func trialCommand() *cobra.Command {
	o := &trialOptions{}
	cmd := &cobra.Command{
		Use:   "trial CORPUS...",
		Short: "Show every verdict that flips between two rulesets",
		Long: `Judge a corpus under two rulesets in one pass and show every verdict that flips,
with the evidence of both sides, every margin that moves, and what it costs.

CORPUS is files and folders of builds (YAML, JSON, NDJSON or binary protobuf); "-"
reads standard input. A ruleset is a YAML file; each of its parts may be left out:

  title: Autumn thresholds
  packs: {clearance: "^0.1"}          # versions or ranges, others by default
  policy: {tolerance.length_mm: 1}    # parameters, others by default
  house: [archive-rules.yaml]         # house rules files beside this one

The exit code is 0, or 1 when a finding flips to something that --fail-on names, or
64 when a document is bad. Words for --fail-on: pass, marginal, unknown, fail, gone
(the rule says nothing any more), any.`,
		Example: "  slipfit trial --baseline today.yaml --candidate autumn.yaml builds/\n" +
			"  slipfit trial --candidate autumn.yaml --fail-on fail,unknown --format html --out flips.html builds/",
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, corpus []string) error { return runTrial(cmd, o, corpus) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&o.baseline, "baseline", "", "judge by the ruleset of `FILE`; absent: by what the service answers now")
	f.StringVar(&o.candidate, "candidate", "", "compare with the ruleset of `FILE`")
	f.StringVar(&o.format, "format", "text", "write `text`, ndjson or html")
	f.StringVar(&o.out, "out", "", "write to `FILE` instead of standard output")
	f.StringSliceVar(&o.failOn, "fail-on", nil, "exit with 1 when a finding flips to one of these `WORDS`")
	f.IntVar(&o.examples, "examples", 0, "reduce the smallest builds of up to `N` flips until the flip just stays")
	_ = cmd.MarkFlagRequired("candidate")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "ndjson", "html"}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

// failWords are the words of --fail-on.
var failWords = map[string][]v1.Verdict{
	"pass":     {v1.Verdict_VERDICT_PASS},
	"marginal": {v1.Verdict_VERDICT_MARGINAL},
	"unknown":  {v1.Verdict_VERDICT_UNKNOWN},
	"fail":     {v1.Verdict_VERDICT_FAIL},
	"gone":     {v1.Verdict_VERDICT_UNSPECIFIED},
	"any": {
		v1.Verdict_VERDICT_UNSPECIFIED, v1.Verdict_VERDICT_PASS, v1.Verdict_VERDICT_MARGINAL,
		v1.Verdict_VERDICT_UNKNOWN, v1.Verdict_VERDICT_FAIL,
	},
}

func (o *trialOptions) failing() (verdicts []v1.Verdict, err error) {
	for _, word := range o.failOn {
		of, known := failWords[word]
		if !known {
			return nil, fmt.Errorf("--fail-on knows pass, marginal, unknown, fail, gone and any, not %q", word)
		}
		verdicts = append(verdicts, of...)
	}
	return verdicts, nil
}

func runTrial(cmd *cobra.Command, o *trialOptions, corpus []string) error {
	if !slices.Contains([]string{"text", "ndjson", "html"}, o.format) {
		return &exit{exitUsage, fmt.Errorf("--format is text, ndjson or html, not %q", o.format)}
	}
	failing, err := o.failing()
	if err != nil {
		return &exit{exitUsage, err}
	}
	t := &trialling{options: o, cmd: cmd}
	if err := t.rulesets(); err != nil {
		return &exit{exitUsage, err}
	}
	if t.corpus, err = openCorpus(cmd.InOrStdin(), corpus); err != nil {
		return &exit{exitUsage, err}
	}
	out, closeOut, err := openOut(cmd.OutOrStdout(), o.out)
	if err != nil {
		return &exit{exitUsage, err}
	}
	t.out = out
	if err := errors.Join(o.with(cmd, t.run), closeOut()); err != nil {
		return err
	}
	switch {
	case trial.FlipsTo(t.report.Summary, failing...) > 0:
		return &exit{code: exitFails}
	case t.report.Summary.GetRefused() > 0:
		return &exit{code: exitUsage}
	default:
		return nil
	}
}

// openOut opens the file to write to, standard output where none is named.
func openOut(standard io.Writer, name string) (io.Writer, func() error, error) {
	if name == "" {
		return standard, func() error { return nil }, nil
	}
	f, err := os.Create(name)
	if err != nil {
		return nil, nil, fmt.Errorf("%s cannot be written: %w", name, errors.Unwrap(err))
	}
	return f, f.Close, nil
}

// trialling is one trial on its way.
type trialling struct {
	options  *trialOptions
	cmd      *cobra.Command
	corpus   iter.Seq[buildEntry]
	out      io.Writer
	plan     *v1.TrialPlan
	report   trial.Report
	unread   []*v1.BuildDifference // builds that were never sent
	smallest trial.Smallest
}

func (t *trialling) rulesets() error {
	baseline := &trial.Ruleset{Name: "what the service answers now", Message: &v1.TrialRuleset{}}
	var err, other error
	if t.options.baseline != "" {
		baseline, err = trial.ReadRuleset(t.options.baseline)
	}
	candidate, other := trial.ReadRuleset(t.options.candidate)
	if err := errors.Join(err, other); err != nil {
		return err
	}
	for _, side := range []*trial.Ruleset{baseline, candidate} {
		if _, err := readHouse(side.HouseFiles); err != nil {
			return err
		}
		t.options.house = t.options.house || side.Message.HouseRules != nil
	}
	t.report.Baseline, t.report.Candidate = baseline.Name, candidate.Name
	t.plan = &v1.TrialPlan{Baseline: baseline.Message, Candidate: candidate.Message}
	return nil
}

func (t *trialling) run(ctx context.Context, conn *grpc.ClientConn) error {
	client := v1.NewTrialServiceClient(conn)
	summary, err := trial.Run(ctx, client, t.plan, t.builds(), t.take)
	if st := status.Convert(err); st.Code() == codes.InvalidArgument {
		return &exit{exitUsage, violationsOf(st, "the trial", nil)}
	}
	if err != nil {
		return err
	}
	for _, d := range t.unread {
		if err := t.take(d); err != nil {
			return err
		}
	}
	summary.Refused = proto.Uint64(summary.GetRefused() + uint64(len(t.unread)))
	t.report.Summary = summary
	if t.report.Examples, err = t.exampleBuilds(ctx, client); err != nil {
		return err
	}
	return t.write()
}

// take keeps a difference for the report, or writes it at once as a line.
func (t *trialling) take(d *v1.BuildDifference) error {
	t.smallest.Take(d)
	if t.options.format == "ndjson" {
		return writeJSON(t.out, &v1.RunTrialResponse{Content: &v1.RunTrialResponse_Difference{Difference: d}}, false)
	}
	t.report.Differences = append(t.report.Differences, d)
	return nil
}

// builds are those of the corpus that can be read.
func (t *trialling) builds() iter.Seq[*v1.TrialBuild] {
	return func(yield func(*v1.TrialBuild) bool) {
		for entry := range t.corpus {
			tag := tagOf(entry)
			if entry.Err != nil {
				t.unread = append(t.unread, &v1.BuildDifference{Tag: &tag, Refusal: &v1.Refusal{
					Code: proto.Int32(int32(codes.InvalidArgument)), Reason: proto.String(entry.Err.Error()),
				}})
				continue
			}
			if !yield(&v1.TrialBuild{Tag: &tag, Build: entry.Message}) {
				return
			}
		}
	}
}

// exampleBuilds reads the corpus again for the smallest builds, and reduces them.
func (t *trialling) exampleBuilds(ctx context.Context, client v1.TrialServiceClient) (out []trial.Example, err error) {
	ways, tags := t.smallest.Tags(t.options.examples)
	found := make(map[string]*v1.Build, len(tags))
	for entry := range t.corpus {
		if len(found) == len(tags) {
			break
		}
		if tag := tagOf(entry); entry.Err == nil && slices.Contains(tags, tag) {
			found[tag] = entry.Message
		}
	}
	for i, way := range ways {
		build := found[tags[i]]
		if build == nil {
			return nil, &exit{exitUsage, fmt.Errorf("%s is not in the corpus any more; leave it as it is during a trial", tags[i])}
		}
		example, err := trial.NewExample(ctx, client, t.plan, way, tags[i], build)
		if err != nil {
			return nil, err
		}
		out = append(out, example)
	}
	return out, nil
}

func (t *trialling) write() error {
	t.report.Sort()
	switch t.options.format {
	case "html":
		return trial.WriteHTML(t.out, &t.report)
	case "ndjson":
		return writeJSON(t.out, &v1.RunTrialResponse{Content: &v1.RunTrialResponse_Summary{Summary: t.report.Summary}}, false)
	default:
		return trial.WriteText(t.out, &t.report)
	}
}

// corpusEndings are the files of a folder that are taken for builds.
var corpusEndings = []string{".yaml", ".yml", ".json", ".ndjson", ".jsonl", ".pb", ".binpb"}

// openCorpus returns what reads the builds of files and folders, as often as it is
// ranged over. Standard input is kept in memory for that.
func openCorpus(input io.Reader, names []string) (iter.Seq[buildEntry], error) {
	var files []string
	for _, name := range names {
		if name == "-" {
			files = append(files, name)
			continue
		}
		err := filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
			if err == nil && d.Type().IsRegular() && (path == name || slices.Contains(corpusEndings, strings.ToLower(filepath.Ext(path)))) {
				files = append(files, path)
			}
			return err
		})
		if err != nil {
			return nil, fmt.Errorf("%s cannot be read: %w", name, errors.Unwrap(err))
		}
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("%s holds no file that could be a build (%s)", strings.Join(names, ", "), strings.Join(corpusEndings, " "))
	}
	var standard []byte
	if slices.Contains(files, "-") {
		var err error
		if standard, err = io.ReadAll(input); err != nil {
			return nil, fmt.Errorf("standard input cannot be read: %w", err)
		}
	}
	return func(yield func(buildEntry) bool) {
		for _, file := range files {
			if !corpusFile(standard, file, yield) {
				return
			}
		}
	}, nil
}

func corpusFile(standard []byte, file string, yield func(buildEntry) bool) bool {
	entries, closeFile, err := openBuilds(strings.NewReader(string(standard)), file)
	if err != nil {
		return yield(buildEntry{File: file, Number: 1, Err: err})
	}
	defer closeFile()
	for entry := range entries {
		if !yield(entry) {
			return false
		}
	}
	return true
}
