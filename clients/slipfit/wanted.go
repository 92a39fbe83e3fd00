package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
)

// wanted asks for one fact about one build: of the clearance pack alone where that
// works it out, else of all, since others need each other. The fact
// is nil where the pack could not work it out.
func wanted(cmd *cobra.Command, t *target, policy []*v1.PolicyValue, file, name string) (fact *v1.Fact, entry buildEntry, err error) {
	entry, err = oneBuild(cmd.InOrStdin(), file)
	if err != nil {
		return nil, entry, err
	}
	pack, _, _ := strings.Cut(name, ".")
	err = t.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		request := &v1.CheckRequest{Policy: policy, Wants: []string{name}}
		if pack == "clearance" {
			request.Packs = []*v1.PackPin{{Name: &pack}}
		}
		answer, err := ask(ctx, v1.NewCheckServiceClient(conn), entry, request)
		var bad *badBuild
		if errors.As(err, &bad) {
			return &exit{exitUsage, bad.reason}
		}
		if err != nil {
			return err
		}
		for _, f := range answer.Facts {
			if f.GetName() == name {
				fact = f
			}
		}
		for _, f := range answer.Findings {
			if fact == nil && f.GetRule() == "" {
				return &exit{exitBroke, errors.New(f.GetSummary().GetText())}
			}
		}
		return nil
	})
	return fact, entry, err
}

// limitsOnly says why there is nothing to arrange or to draw, and what to do.
func limitsOnly(entry buildEntry) error {
	for _, item := range entry.Message.GetItems() {
		chassis := item.GetPart().GetChassis()
		if chassis == nil {
			continue
		}
		for _, layout := range chassis.Layouts {
			if len(layout.Mounts) > 0 {
				return &exit{exitUnknown, fmt.Errorf("%s: no arrangement could be worked out; 'slipfit check' tells what is missing", tagOf(entry))}
			}
		}
		return &exit{exitUnknown, fmt.Errorf("%s: the enclosure %q has only published limits; describe its compartments, panels and mounts, "+
			"and its arrangements can be told and drawn ('slipfit check' judges by the limits)", tagOf(entry), item.GetId())}
	}
	return &exit{exitUnknown, fmt.Errorf("%s: the build names no enclosure; add one", tagOf(entry))}
}

// factRanking is the search over all arrangements.
const factRanking = clearance.FactRanking

// factChart is temperature rise against sound over fan speed.
const factChart = "thermal.chart"

// factDrawing is the arrangement as a drawing.
const factDrawing = clearance.FactDrawing
