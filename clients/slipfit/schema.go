package main

import (
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/schema"
	v1 "slipfit.example/proto/slipfit/v1"
)

func schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:       "schema build|part",
		Short:     "Print the JSON Schema of a document, for editors and validators",
		Example:   "  slipfit schema build > slipfit-build.schema.json",
		Args:      cobra.MatchAll(cobra.ExactArgs(1), cobra.OnlyValidArgs),
		ValidArgs: []string{"build", "part"},
		RunE: func(cmd *cobra.Command, args []string) error {
			var m proto.Message = &v1.Build{}
			if args[0] == "part" {
				m = &v1.Part{}
			}
			text, err := schema.Schema(m.ProtoReflect().Descriptor(), schema.Options{References: true})
			if err != nil {
				return &exit{exitBroke, err}
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s\n", text)
			return err
		},
	}
}
