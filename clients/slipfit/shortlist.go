package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// shortlistOptions are the flags of shortlist.
type shortlistOptions struct {
	target
	item     string
	kinds    []string
	from     []string
	order    string
	most     uint32
	rejected bool
	format   string
	policy   []string
}

// shortlistOrders are what --order takes.
var shortlistOrders = map[string]v1.ShortlistOrder{
	"margin": v1.ShortlistOrder_SHORTLIST_ORDER_MARGIN,
	"price":  v1.ShortlistOrder_SHORTLIST_ORDER_PRICE,
	"sound":  v1.ShortlistOrder_SHORTLIST_ORDER_SOUND,
}

// shortlistFormats are what --format takes.
var shortlistFormats = []string{"text", "json", "ndjson"}

func shortlistCommand() *cobra.Command {
	o := &shortlistOptions{}
	cmd := &cobra.Command{
		Use:   "shortlist BUILD --for ITEM --from FILES",
		Short: "Show which of many parts fit a build, the best first",
		Long: `Show which of many parts fit in the place of one item of a build, the best first:
the one with the most room in its tightest place, or the cheapest, or the one with
which the build is the quietest. Each comes with what is tightest about it.

Parts come from files (YAML with several parts, JSON lines), from folders of them, or
from standard input as "-"; with --server and without --from, from the catalogue that
the service keeps. Those of another kind than the item's are left out; --kind names
other kinds, and is needed where the build does not hold the item.

Each part is judged in the build as it stands: loads and fan speeds that the build sets
for the item hold for every part. What is wrong with the build whatever part is chosen
is not held against a part, nor is what cannot be told because the build leaves it open:
parts that it does not hold yet, the room, how it is used.

The exit code is 0 when some part fits, 1 when none does, 2 when none does and for
some it cannot be told.`,
		Example: "  slipfit shortlist build.yaml --for cooler --from parts/coolers.yaml\n" +
			"  slipfit shortlist build.yaml --for card --from parts --order price --most 5 --rejected",
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return shortlistParts(cmd, o, args[0]) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&o.item, "for", "", "seek parts in the place of `ITEM`, by its id in the build")
	f.StringSliceVar(&o.kinds, "kind", nil, "seek parts of `KINDS`, such as air_cooler,liquid_loop")
	f.StringSliceVar(&o.from, "from", nil, "take parts from `FILES` and folders, or from standard input as -")
	f.StringVar(&o.order, "order", "margin", "put first by `margin`, price or sound")
	f.Uint32Var(&o.most, "most", 20, "show the best `N`")
	f.BoolVar(&o.rejected, "rejected", false, "show those that do not fit too, each with its reason")
	f.StringVar(&o.format, "format", "text", "write the list as `text`, json or ndjson")
	f.StringArrayVar(&o.policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	_ = cmd.MarkFlagRequired("for")
	_ = cmd.RegisterFlagCompletionFunc("order", cobra.FixedCompletions([]string{"margin", "price", "sound"}, cobra.ShellCompDirectiveNoFileComp))
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(shortlistFormats, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

// plan holds the flags against each other.
func (o *shortlistOptions) plan(cmd *cobra.Command, file string) (*v1.ShortlistPlan, buildEntry, error) {
	order, known := shortlistOrders[o.order]
	switch {
	case !known:
		return nil, buildEntry{}, fmt.Errorf("--order is margin, price or sound, not %q", o.order)
	case !slices.Contains(shortlistFormats, o.format):
		return nil, buildEntry{}, fmt.Errorf("--format is %s, not %q", strings.Join(shortlistFormats, ", "), o.format)
	case o.most < 1 || o.most > 1000:
		return nil, buildEntry{}, fmt.Errorf("--most is from 1 to 1000, not %d", o.most)
	case len(o.from) == 0 && o.server == "":
		return nil, buildEntry{}, errors.New("--from says where parts come from: files, folders, or - for standard input; only a service (--server) may keep a catalogue of its own")
	case file == "-" && slices.Contains(o.from, "-"):
		return nil, buildEntry{}, errors.New("the build and the parts cannot both come from standard input; give one as a file")
	}
	policy, err := policyValues(o.policy)
	if err != nil {
		return nil, buildEntry{}, err
	}
	entry, err := oneBuild(cmd.InOrStdin(), file)
	if err != nil {
		return nil, entry, err
	}
	if entry.Err != nil {
		return nil, entry, entry.Err
	}
	kinds, err := kindsFor(entry.Message, o.item, o.kinds)
	if err != nil {
		return nil, entry, err
	}
	return &v1.ShortlistPlan{
		Build: entry.Message, Item: &o.item, Kinds: kinds, Order: order, Most: &o.most, Rejected: &o.rejected, Policy: policy,
	}, entry, nil
}

func shortlistParts(cmd *cobra.Command, o *shortlistOptions, file string) error {
	plan, entry, err := o.plan(cmd, file)
	if err != nil {
		return usage(err)
	}
	files := &partFiles{input: cmd.InOrStdin(), paths: o.from, kinds: plan.Kinds}
	show := o.show(cmd.OutOrStdout(), plan)
	var unread int
	err = o.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		ctx, cancel := context.WithCancelCause(ctx)
		defer cancel(nil)
		stream, err := v1.NewShortlistServiceClient(conn).ShortlistMany(ctx)
		if err != nil {
			return err
		}
		sent := make(chan struct{})
		go func() {
			defer close(sent)
			var err error
			if unread, err = sendParts(stream, plan, files, cmd.ErrOrStderr()); err != nil {
				cancel(usage(err))
			}
		}()
		err = receiveList(stream, show)
		if cause := context.Cause(ctx); cause != nil {
			err = cause
		}
		cancel(nil)
		<-sent
		return planError(err, entry)
	})
	if err != nil {
		return err
	}
	return show.end(files.other, unread)
}

// usage makes an error one about the call, unless it has a code already.
func usage(err error) error {
	var known *exit
	if errors.As(err, &known) {
		return err
	}
	return &exit{exitUsage, err}
}

// planError tells what is wrong with a build with its place in the file.
func planError(err error, entry buildEntry) error {
	st := status.Convert(err)
	if err == nil || st.Code() != codes.InvalidArgument {
		return err
	}
	return &exit{exitUsage, violationsBelow("plan.", st, tagOf(entry), entry.Places)}
}

// sendParts sends the plan and one part after the other. Parts that cannot be read are
// told and counted, and the rest goes on.
func sendParts(stream grpc.BidiStreamingClient[v1.ShortlistManyRequest, v1.ShortlistManyResponse], plan *v1.ShortlistPlan, files *partFiles, errOut io.Writer) (unread int, err error) {
	send := func(m *v1.ShortlistManyRequest) bool { return stream.Send(m) == nil } // Recv tells why not
	if !send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Plan{Plan: plan}}) {
		return 0, nil
	}
	parts := 0
	for entry, err := range files.all() {
		if err != nil {
			return unread, err
		}
		parts++
		if entry.Err != nil {
			unread++
			fmt.Fprintln(errOut, "slipfit:", plainError(entry.Err))
			continue
		}
		if !send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Candidate{Candidate: entry.Message}}) {
			return unread, nil
		}
	}
	if len(files.paths) > 0 && parts == unread {
		return unread, fmt.Errorf("%s: no part of the kind %s can be read there", strings.Join(files.paths, ", "), strings.Join(files.kinds, " or "))
	}
	return unread, stream.CloseSend()
}

// receiveList hands on what comes.
func receiveList(stream grpc.BidiStreamingClient[v1.ShortlistManyRequest, v1.ShortlistManyResponse], show listShower) error {
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := show.take(m); err != nil {
			return err
		}
	}
}

// listShower writes a list in one format.
type listShower interface {
	// take is given what comes, the summary last.
	take(*v1.ShortlistManyResponse) error
	// end is told how many parts of another kind were left out and how many could not be
	// read. Its error decides the exit code.
	end(other, unread int) error
}

func (o *shortlistOptions) show(out io.Writer, plan *v1.ShortlistPlan) listShower {
	switch o.format {
	case "ndjson":
		return &listLines{out: out}
	case "json":
		return &listDocument{out: out}
	}
	return &listText{out: out, plan: plan}
}

// outcome is the exit code of a list.
func outcomeOf(summary *v1.ShortlistSummary) error {
	if summary.GetFit() > 0 {
		return nil
	}
	for _, r := range summary.GetReasons() {
		if r.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN {
			return &exit{code: exitUnknown}
		}
	}
	return &exit{code: exitFails}
}

// listLines writes a line of JSON for each candidate, then one for the summary.
type listLines struct {
	out     io.Writer
	summary *v1.ShortlistSummary
}

func (l *listLines) take(m *v1.ShortlistManyResponse) error {
	if s := m.GetSummary(); s != nil {
		l.summary = s
	}
	return writeJSON(l.out, m, false)
}

func (l *listLines) end(int, int) error { return outcomeOf(l.summary) }

// listDocument writes one JSON document, as Shortlist answers.
type listDocument struct {
	out    io.Writer
	answer v1.ShortlistResponse
}

func (l *listDocument) take(m *v1.ShortlistManyResponse) error {
	switch c := m.GetCandidate(); {
	case m.GetSummary() != nil:
		l.answer.Summary = m.GetSummary()
	case c.Refusal != nil || c.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN:
		l.answer.Rejected = append(l.answer.Rejected, c)
	default:
		l.answer.Fitting = append(l.answer.Fitting, c)
	}
	return nil
}

func (l *listDocument) end(int, int) error {
	sortByPlace(l.answer.Rejected)
	if err := writeJSON(l.out, proto.Message(&l.answer), true); err != nil {
		return err
	}
	return outcomeOf(l.answer.Summary)
}

func sortByPlace(candidates []*v1.Candidate) {
	slices.SortFunc(candidates, func(a, b *v1.Candidate) int { return int(a.GetPlace()) - int(b.GetPlace()) })
}
