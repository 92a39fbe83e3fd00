package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"slipfit.example/clients/batch"
)

func runQueue(_ *cobra.Command, _ *batchOptions, _ func(context.Context, batch.Processor, string) error) error {
	return &exit{exitUsage, errors.New("queues are not served yet")}
}
