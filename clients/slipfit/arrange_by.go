package main

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// rankBy are the words for --by.
var rankBy = []string{"margin", "cool", "quiet"}

// forecastCandidates is how many arrangements are forecast, best by margin first.
const forecastCandidates = 32

// outlook is what the thermal pack forecasts of one arrangement.
type outlook struct {
	arrangement *v1.Arrangement
	// spareK is how far the part nearest its limit stays below it, in K.
	spareK float64
	// levelDBA is the least sound with which every limit is met; infinite where none is.
	levelDBA float64
}

// forecastRanking puts a ranking in order by heat or sound: each arrangement is fixed
// in the build and forecast. What cannot be forecast comes last, by margin.
func forecastRanking(cmd *cobra.Command, o *arrangeOptions, policy []*v1.PolicyValue, build *v1.Build, r *v1.Ranking) ([]outlook, error) {
	candidates := r.Arrangements[:min(forecastCandidates, len(r.Arrangements))]
	outlooks := make([]outlook, len(candidates))
	err := o.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		client := v1.NewCheckServiceClient(conn)
		for i, a := range candidates {
			answer, err := client.Check(ctx, &v1.CheckRequest{
				Build: fixed(build, a), Policy: policy, Wants: []string{"thermal.forecast", "thermal.settings"},
			})
			if err != nil {
				return err
			}
			outlooks[i] = outlookOf(a, answer)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(outlooks, func(a, b outlook) int {
		if o.by == "quiet" {
			return cmp.Compare(a.levelDBA, b.levelDBA)
		}
		return cmp.Compare(b.spareK, a.spareK)
	})
	return outlooks, nil
}

func outlookOf(a *v1.Arrangement, answer *v1.CheckResponse) outlook {
	out := outlook{arrangement: a, spareK: math.Inf(-1), levelDBA: math.Inf(1)}
	for _, f := range answer.Facts {
		if forecast := f.GetForecast(); forecast.GetSolved() {
			out.spareK = math.Inf(1)
			for _, p := range forecast.Points {
				if p.LimitC != nil && p.TemperatureC != nil {
					out.spareK = min(out.spareK, p.GetLimitC()-p.GetTemperatureC().GetNominal())
				}
			}
		}
		if s := f.GetSettings(); s.GetReachable() && s.LevelDba != nil {
			out.levelDBA = s.GetLevelDba().GetNominal()
		}
	}
	return out
}

// fixed is the build with the choices of an arrangement: a placement for each seat.
func fixed(build *v1.Build, a *v1.Arrangement) *v1.Build {
	out := proto.CloneOf(build)
	out.Arrangement = &v1.ArrangementChoice{Layout: a.Layout}
	for _, s := range a.Seats {
		p := &v1.Placement{
			Item: s.Item, Mount: s.Mount, Count: s.Count, Pose: s.Pose, OffsetsMm: s.OffsetsMm, Side: s.Side, Position: s.Position,
			FansOutside: s.FansOutside, Fittings: s.Fittings, SlideMm: s.SlideMm,
		}
		if s.GetFlow() != v1.Flow_FLOW_UNSPECIFIED {
			p.Flow = s.Flow
		}
		out.Arrangement.Placements = append(out.Arrangement.Placements, p)
	}
	return out
}

// words are what the arrangement is ranked by.
func (l outlook) words() []string {
	var out []string
	if !math.IsInf(l.spareK, 0) {
		out = append(out, fmt.Sprintf("nearest limit %s K off", decimal(l.spareK)))
	}
	if !math.IsInf(l.levelDBA, 0) {
		out = append(out, fmt.Sprintf("down to %s dB(A)", decimal(l.levelDBA)))
	}
	if len(out) == 0 {
		out = append(out, "no forecast")
	}
	return out
}
