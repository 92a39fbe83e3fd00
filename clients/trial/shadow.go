package trial

import (
	"bufio"
	"fmt"
	"io"

	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

// OfShadow is the report of a candidate that judged live checks, as one of a trial.
// Flips whose evidence the service does not keep say so in the place of their items.
func OfShadow(r *v1.ShadowReport) *Report {
	out := &Report{Baseline: "what the service answered", Candidate: r.GetCandidate(), Summary: r.GetSummary()}
	for _, e := range r.GetRecent() {
		d := proto.CloneOf(e.GetDifference())
		for _, f := range d.GetFlips() {
			if e.Build == nil {
				f.Subjects = []string{"evidence not kept"}
			}
		}
		out.Differences = append(out.Differences, d)
	}
	return out
}

// WriteShadow writes what a candidate made of live checks, for a terminal: how many it
// judged and what became of the others, what flips and moves in all, and the last
// checks that flipped.
func WriteShadow(to io.Writer, r *v1.ShadowReport) error {
	w := bufio.NewWriter(to)
	fmt.Fprintf(w, "Since %s, %d live checks were picked, a share of %g.\n", r.GetSince(), r.GetPicked(), r.GetShare())
	writeUncompared(w, r)
	fmt.Fprintln(w)
	all := OfShadow(r)
	writeSummary(w, all)
	fmt.Fprintf(w, "\n%s\nThe candidate stands back behind live checks meanwhile; slipfit trial tells its cost better.\n", costWords(r.GetSummary()))
	if len(r.GetRecent()) > 0 {
		fmt.Fprintf(w, "\nThe last checks that flipped, by the SHA-256 of their build\n")
	}
	for i, e := range r.GetRecent() {
		if e.Build != nil {
			fmt.Fprintf(w, "\n%s, build %q", e.GetAt(), report.Plain(e.Build.GetId()))
			writeDifference(w, all.Differences[i])
			continue
		}
		d := e.GetDifference()
		fmt.Fprintf(w, "  %s  %s  %s to %s\n", e.GetAt(), d.GetTag(), verdictWord(d.GetBaseline()), verdictWord(d.GetCandidate()))
		for _, f := range d.GetFlips() {
			fmt.Fprintf(w, "      %s: %s\n", f.GetRule(), DirectionOf(f).Words())
		}
	}
	return w.Flush()
}

// writeUncompared tells of the checks that were picked and came to nothing.
func writeUncompared(w io.Writer, r *v1.ShadowReport) {
	for _, line := range []struct {
		n     uint64
		words string
	}{
		{r.GetDroppedFull(), "given up because the candidate was behind"},
		{r.GetDroppedBusy(), "given up because live checks needed the room"},
		{r.GetOwnRuleset(), "left alone because they bring versions or house rules of their own"},
		{r.GetSilent(), "not compared because a pack did not answer on one side"},
	} {
		if line.n > 0 {
			fmt.Fprintf(w, "  %d %s\n", line.n, line.words)
		}
	}
	if r.Trouble != nil {
		fmt.Fprintf(w, "The last could not be compared: %s.\n", report.Plain(r.GetTrouble()))
	}
}
