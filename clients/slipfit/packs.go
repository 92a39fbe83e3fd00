package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
)

func packsCommand() *cobra.Command {
	ask := &target{}
	cmd := &cobra.Command{
		Use:   "packs",
		Short: "List the packs and their rules",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return ask.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := v1.NewPackServiceClient(conn).ListPacks(ctx, &v1.ListPacksRequest{})
				if err != nil {
					return err
				}
				return listPacks(ctx, cmd.OutOrStdout(), conn, answer)
			})
		},
	}
	ask.flags(cmd)
	cmd.AddCommand(describeCommand(), reloadCommand(), manifestCommand())
	return cmd
}

func reloadCommand() *cobra.Command {
	ask := &target{}
	cmd := &cobra.Command{
		Use:   "reload",
		Short: "Have a service look at its pack folder now",
		Long: `Have a service look at its pack folder now, instead of with its next look, and tell
what serves then. A folder that is refused changes nothing: the reason is told and
the exit code is 64.`,
		Example: "  slipfit packs reload --server 127.0.0.1:7480",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if ask.server == "" {
				return &exit{exitUsage, errors.New("--server says which service is to reload; name it")}
			}
			return ask.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := v1.NewPackServiceClient(conn).ReloadPacks(ctx, &v1.ReloadPacksRequest{})
				if status.Code(err) == codes.FailedPrecondition {
					return &exit{exitUsage, errors.New(status.Convert(err).Message())}
				}
				if err != nil {
					return err
				}
				listFolder(cmd.OutOrStdout(), answer.Folder)
				return nil
			})
		},
	}
	ask.flags(cmd)
	return cmd
}

func describeCommand() *cobra.Command {
	ask := &target{}
	cmd := &cobra.Command{
		Use:     "describe RULE",
		Short:   "Explain one rule: why, how, with which parameters and sources",
		Example: "  slipfit packs describe clearance.cooler-height",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return ask.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := v1.NewPackServiceClient(conn).DescribeRule(ctx, &v1.DescribeRuleRequest{Rule: &args[0]})
				if err != nil {
					return err
				}
				return describeRule(cmd.OutOrStdout(), answer.GetRule())
			})
		},
	}
	ask.flags(cmd)
	return cmd
}

// with connects, runs do, and turns its error into an exit code.
func (t *target) with(cmd *cobra.Command, do func(context.Context, *grpc.ClientConn) error) error {
	conn, stop, err := t.connect(cmd.Context(), cmd.ErrOrStderr())
	if err != nil {
		return err
	}
	defer stop()
	if err := do(cmd.Context(), conn); err != nil {
		return t.away(err)
	}
	return nil
}

func listPacks(ctx context.Context, out io.Writer, conn *grpc.ClientConn, answer *v1.ListPacksResponse) error {
	for i, p := range answer.Packs {
		if i > 0 {
			fmt.Fprintln(out)
		}
		state := "serves"
		if !p.GetServing() {
			state = "does not serve: " + cmp.Or(p.GetLastError(), "it never came up")
		}
		state += packNotes(p)
		fmt.Fprintf(out, "%s %s, %s\n%s\n", p.GetName(), p.GetVersion(), report.Plain(state), report.Plain(p.GetPurpose()))
		table := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
		for _, rule := range p.Rules {
			d, err := v1.NewPackServiceClient(conn).DescribeRule(ctx, &v1.DescribeRuleRequest{Rule: &rule})
			if err != nil {
				return err
			}
			fmt.Fprintf(table, "  %s\t%s\n", rule, d.GetRule().GetTitle())
		}
		if err := table.Flush(); err != nil {
			return err
		}
	}
	if answer.Folder != nil {
		fmt.Fprintln(out)
		listFolder(out, answer.Folder)
	}
	for _, r := range answer.Refused {
		fmt.Fprintf(out, "\nThe pack folder %s is refused: %s\n", report.Plain(r.GetFolder()), report.Plain(r.GetReason()))
	}
	fmt.Fprintf(out, "\nExplain one: slipfit packs describe RULE\n")
	return nil
}

// listFolder tells what serves of the folder of external packs.
func listFolder(out io.Writer, f *v1.PackFolder) {
	if f.Revision == nil {
		fmt.Fprintf(out, "Nothing of the pack folder %s serves yet.\n", report.Plain(f.GetPath()))
	} else {
		fmt.Fprintf(out, "Revision %d of the pack folder %s serves since %s", f.GetRevision(), report.Plain(f.GetPath()), f.GetServingSince())
		if f.Expires != nil {
			fmt.Fprintf(out, " and expires after %s", f.GetExpires())
		}
		fmt.Fprintf(out, ".\nIts manifest has the SHA-256 %s.\n", f.GetDigest())
	}
	if f.GetAllowsUnsigned() {
		fmt.Fprintln(out, "Packs that NOBODY HAS SIGNED may run here (--allow-unsigned-packs); that is for development.")
	}
}

// packNotes tells what is special about one version of a pack.
func packNotes(p *v1.Pack) (notes string) {
	if p.Chosen != nil && !p.GetChosen() {
		notes += ", where a check asks for this version"
	}
	if p.GetOrigin() != "" {
		notes += ", from " + p.GetOrigin()
	}
	if p.GetUnsigned() {
		notes += ", NOT SIGNED"
	}
	return notes
}

func describeRule(out io.Writer, r *v1.Rule) error {
	fmt.Fprintf(out, "%s: %s\n%s %s, since %s\n\n", r.GetId(), r.GetTitle(), r.GetPack(), r.GetVersion(), r.GetSince())
	fmt.Fprintf(out, "Why:  %s\nHow:  %s\n", r.GetWhy(), r.GetFormula())
	if len(r.Reads) > 0 {
		fmt.Fprintf(out, "\nReads:\n  %s\n", strings.Join(r.Reads, "\n  "))
	}
	if len(r.UsesFacts) > 0 {
		fmt.Fprintf(out, "\nUses what other packs work out:\n  %s\n", strings.Join(r.UsesFacts, "\n  "))
	}
	if len(r.Parameters) > 0 {
		fmt.Fprint(out, "\nParameters:\n")
		for _, p := range r.Parameters {
			fmt.Fprintf(out, "  %s = %s, from %g to %g\n    %s Default by %s.\n", p.GetName(),
				strings.TrimSpace(fmt.Sprintf("%g %s", p.GetDefaultValue(), p.GetUnit())), p.GetLeast(), p.GetGreatest(),
				p.GetPurpose(), sourceWords(p.GetSource()))
		}
	}
	fmt.Fprint(out, "\nSources:\n")
	for _, s := range r.Sources {
		fmt.Fprintf(out, "  %s\n", sourceWords(s))
	}
	return nil
}

func sourceWords(s *v1.Source) string {
	if standing := s.GetStanding(); standing != "published" {
		return s.GetTitle() + " (" + standing + ")"
	}
	return s.GetTitle()
}
