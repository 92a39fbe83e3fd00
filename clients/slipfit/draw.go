package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
)

func drawCommand() *cobra.Command {
	var (
		t      target
		file   string
		policy []string
		chart  bool
	)
	cmd := &cobra.Command{
		Use:   "draw BUILD -o FILE.svg",
		Short: "Draw the arrangement of a build: three sections to scale",
		Long: `Draw the arrangement that a build is judged in, as scalable vector graphics: three
sections to scale in third-angle projection, with tight gaps in mm, conflicts
hatched, and the ways of the cables. With --chart, draw the chart of temperature rise
against sound over fan speed instead. "-" writes to standard output. An enclosure of
a small computer goes on a sheet A4 at 1:5.

The exit code is 2 when there is nothing to draw, because the enclosure is
described by limits alone.`,
		Example: "  slipfit draw build.yaml -o build.svg\n  slipfit draw build.yaml --chart -o rise-and-sound.svg",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			values, err := policyValues(policy)
			if err != nil {
				return &exit{exitUsage, err}
			}
			name := factDrawing
			if chart {
				name = factChart
			}
			fact, entry, err := wanted(cmd, &t, values, args[0], name)
			if err != nil {
				return err
			}
			picture := fact.GetPicture()
			if picture.GetSvg() == "" {
				if chart {
					return &exit{exitUnknown, fmt.Errorf("%s: there is no chart without the sound of every fan; 'slipfit check' tells what is missing", tagOf(entry))}
				}
				return limitsOnly(entry)
			}
			if file == "-" {
				_, err = cmd.OutOrStdout().Write([]byte(picture.GetSvg()))
				return err
			}
			if err := os.WriteFile(file, []byte(picture.GetSvg()), 0o666); err != nil {
				return &exit{exitUsage, fmt.Errorf("the drawing cannot be written: %w", err)}
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "%s: %g x %g mm when printed to scale\n", file, picture.GetWidthMm(), picture.GetHeightMm())
			return nil
		},
	}
	t.flags(cmd)
	cmd.Flags().StringVarP(&file, "output", "o", "", "write the drawing to `FILE`")
	cmd.Flags().BoolVar(&chart, "chart", false, "draw temperature rise against sound over fan speed")
	cmd.Flags().StringArrayVar(&policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	_ = cmd.MarkFlagRequired("output")
	return cmd
}
