package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	"slipfit.example/clients/batch"
	"slipfit.example/clients/crew"
	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/server"
	"slipfit.example/server/pipeline"
)

// handCommand is what batch and work start. It is of no use by hand, and says so.
func handCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "hand",
		Short:  "Answer the lines of a batch (started by batch and by work)",
		Hidden: true,
		Args:   cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			// Whoever started it decides when it ends.
			signal.Ignore(os.Interrupt)
			debug.SetMaxStack(greatestStack)
			out := os.Stdout
			os.Stdout = os.Stderr // what a rule prints is no answer
			return beHand(context.WithoutCancel(cmd.Context()), out)
		},
	}
}

// greatestStack is where a rule that calls itself without end is ended, in bytes.
const greatestStack = 64 << 20

func beHand(ctx context.Context, out *os.File) error {
	checkers, packs, err := localCheckers()
	if err != nil {
		return &exit{exitBroke, err}
	}
	answerer := batch.NewDirect(checkers, partResolver())
	if err := crew.Serve(ctx, os.Stdin, out, fingerprint(packs), answerer, func() { os.Exit(exitFits) }); err != nil {
		return &exit{exitBroke, err}
	}
	return nil
}

// localCheckers make the built-in packs ready in this process, once for each detail.
func localCheckers() (checkers batch.Checkers, packs []*v1.PackVersion, err error) {
	var evaluators []*kit.Evaluator
	for _, b := range builtin {
		e, err := kit.NewEvaluator(b.pack())
		if err != nil {
			return checkers, nil, err
		}
		evaluators = append(evaluators, e)
	}
	kit.ShareParts(evaluators...)
	var local *server.Local
	for detail, telling := range [...]kit.Telling{
		batch.DetailFindings: kit.TellFailing, batch.DetailVerdicts: kit.TellNothing, batch.DetailFull: kit.TellAll,
	} {
		var residents []pipeline.Resident
		for _, e := range evaluators {
			residents = append(residents, kit.NewResident(e, telling))
		}
		start := server.StartLocal
		if local != nil {
			start = local.Beside
		}
		if local, err = start(residents); err != nil {
			return checkers, nil, err
		}
		checkers[detail] = local
	}
	return checkers, local.Packs(), nil
}

// versioned is a pack in a version, in whatever message.
type versioned interface {
	GetName() string
	GetVersion() string
}

// fingerprint is the same for the same packs in the same versions.
func fingerprint[P versioned](packs []P) string {
	var names []string
	for _, p := range packs {
		names = append(names, p.GetName()+" "+p.GetVersion())
	}
	slices.Sort(names)
	sum := sha256.Sum256([]byte(strings.Join(names, "\n")))
	return hex.EncodeToString(sum[:8])
}

// ownRules is the fingerprint of the built-in packs.
func ownRules() (string, error) {
	var packs []*packv1.DescribeResponse
	for _, b := range builtin {
		e, err := kit.NewEvaluator(b.pack())
		if err != nil {
			return "", err
		}
		packs = append(packs, e.Describe())
	}
	return fingerprint(packs), nil
}

// answering is what answers the chunks of a batch, and by which rules.
type answering struct {
	batch.Processor
	rules string
	// hands is how many chunks it answers at once.
	hands int
}

// answer gives what answers chunks: a crew of this program, or the service that is
// named.
func (t *target) answer(cmd *cobra.Command, do func(context.Context, answering) error) error {
	if t.server != "" {
		return t.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
			rules, err := rulesOf(ctx, conn)
			if err != nil {
				return err
			}
			return do(ctx, answering{batch.NewService(conn, partResolver()), rules, 4})
		})
	}
	c, err := t.crew(cmd)
	if err != nil {
		return err
	}
	defer c.Close()
	rules, err := c.Rules(cmd.Context())
	if err != nil {
		return &exit{exitBroke, err}
	}
	err = do(cmd.Context(), answering{c, rules, c.Hands()})
	var known *exit
	if err != nil && !errors.As(err, &known) {
		return &exit{exitBroke, err}
	}
	return err
}

// crew starts this program again, once for each processor.
func (t *target) crew(cmd *cobra.Command) (*crew.Crew, error) {
	program, err := os.Executable()
	if err != nil {
		return nil, &exit{exitBroke, fmt.Errorf("this program cannot find itself to answer lines: %w", err)}
	}
	return crew.New(crew.Options{
		Command: []string{program, "hand"},
		Apart: func(ctx context.Context) (batch.Processor, func(), error) {
			conn, stop, err := t.connect(ctx, cmd.ErrOrStderr())
			if err != nil {
				return nil, nil, err
			}
			return batch.NewService(conn, partResolver()), stop, nil
		},
		Log: slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), nil)),
	}), nil
}

// rulesOf is the fingerprint of the packs that a service has.
func rulesOf(ctx context.Context, conn *grpc.ClientConn) (string, error) {
	listed, err := v1.NewPackServiceClient(conn).ListPacks(ctx, &v1.ListPacksRequest{})
	if err != nil {
		return "", err
	}
	return fingerprint(listed.Packs), nil
}
