package main

import (
	"fmt"
	"os"
	"slices"

	"github.com/spf13/cobra"

	"slipfit.example/rules/audit"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/house"
	mating "slipfit.example/rules/interface"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/mounting"
	"slipfit.example/rules/power"
	"slipfit.example/rules/thermal"
	"slipfit.example/server/packs"
)

// builtin are the packs that this program can be.
var builtin = []struct {
	name string
	pack func() *kit.Pack
}{
	{"audit", audit.Pack},
	{"clearance", clearance.Pack},
	{"interface", mating.Pack},
	{"mounting", mounting.Pack},
	{"power", power.Pack},
	{"thermal", thermal.Pack},
}

// launches start this program again, once for each pack.
func launches() ([]packs.Launch, error) {
	program, err := os.Executable()
	if err != nil {
		return nil, fmt.Errorf("this program cannot find itself to start its packs: %w", err)
	}
	out := make([]packs.Launch, len(builtin))
	for i, b := range builtin {
		out[i] = packs.Launch{Name: b.name, Command: []string{program, "pack", b.name}}
	}
	return out, nil
}

// packCommand is what the service starts. It is of no use by hand, and says so.
func packCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "pack NAME",
		Short:  "Be one of the packs (started by the service)",
		Hidden: true,
		Args:   cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if args[0] == house.Name {
				return serveHouse()
			}
			i := slices.IndexFunc(builtin, func(b struct {
				name string
				pack func() *kit.Pack
			}) bool {
				return b.name == args[0]
			})
			if i < 0 {
				return &exit{exitUsage, fmt.Errorf("no built-in pack is called %q", args[0])}
			}
			evaluator, err := kit.NewEvaluator(builtin[i].pack())
			if err != nil {
				return &exit{exitBroke, err}
			}
			process.Serve(args[0], kit.NewService(evaluator))
			return nil
		},
	}
}
