package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"slices"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	"slipfit.example/clients/sheet"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// sheetMaker is what a service makes sheets by.
func sheetMaker() server.SheetMaker { return server.SheetMaker{Facts: sheet.Facts, Make: sheet.Page} }

func sheetCommand() *cobra.Command {
	var (
		t      target
		file   string
		day    string
		policy []string
	)
	cmd := &cobra.Command{
		Use:   "sheet BUILD -o FILE.html",
		Short: "Write the printable record of one build",
		Long: `Write one page of HTML that holds everything about a build: the verdict, what is
to be settled and bought, the arrangement with its drawing, gaps, cables, screws,
the order of assembly with boxes to tick, heat, sound and power, what is unknown,
and what the answer rests on. It prints on A4 and Letter, needs no scripts and
refers to nothing outside itself. "-" writes to standard output.

The exit code is that of 'slipfit check' for the same build.`,
		Example: "  slipfit sheet build.yaml -o build.html",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			values, err := policyValues(policy)
			if err != nil {
				return &exit{exitUsage, err}
			}
			answer, entry, err := answerForSheet(cmd, &t, values, args[0])
			if err != nil {
				return err
			}
			options := sheet.FromBuild(entry.Message)
			options.Made = day
			if err := writeSheet(cmd, file, answer, options); err != nil {
				return err
			}
			return (&checker{worst: answer.GetVerdict()}).exit()
		},
	}
	t.flags(cmd)
	cmd.Flags().StringVarP(&file, "output", "o", "", "write the sheet to `FILE`")
	cmd.Flags().StringVar(&day, "date", "", "print this `DAY` on the sheet, as you write it")
	cmd.Flags().StringArrayVar(&policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	_ = cmd.MarkFlagRequired("output")
	return cmd
}

// answerForSheet asks for everything that a sheet shows and that some pack works
// out. The page is then written here, by SheetService's own maker: what another's
// service says stays text and plain graphics on it.
func answerForSheet(cmd *cobra.Command, t *target, policy []*v1.PolicyValue, file string) (answer *v1.CheckResponse, entry buildEntry, err error) {
	entry, err = oneBuild(cmd.InOrStdin(), file)
	if err != nil {
		return nil, entry, err
	}
	err = t.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		list, err := v1.NewPackServiceClient(conn).ListPacks(ctx, &v1.ListPacksRequest{})
		if err != nil {
			return err
		}
		answer, err = ask(ctx, v1.NewCheckServiceClient(conn), entry, &v1.CheckRequest{Policy: policy, Wants: provided(list.Packs, sheet.Facts)})
		var bad *badBuild
		if errors.As(err, &bad) {
			return &exit{exitUsage, bad.reason}
		}
		return err
	})
	return answer, entry, err
}

// provided are the facts of a list that some pack works out; a service refuses to
// be asked for others.
func provided(packs []*v1.Pack, facts []string) (out []string) {
	for _, fact := range facts {
		if slices.ContainsFunc(packs, func(p *v1.Pack) bool { return slices.Contains(p.GetProvides(), fact) }) {
			out = append(out, fact)
		}
	}
	return out
}

// writeSheet writes the page to a file, or to standard output.
func writeSheet(cmd *cobra.Command, file string, answer *v1.CheckResponse, options sheet.Options) error {
	if file == "-" {
		return sheet.Write(cmd.OutOrStdout(), answer, options)
	}
	var b bytes.Buffer
	if err := sheet.Write(&b, answer, options); err != nil {
		return err
	}
	if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
		return &exit{exitUsage, fmt.Errorf("the sheet cannot be written: %w", err)}
	}
	return nil
}
