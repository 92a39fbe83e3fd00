package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/clients/trial"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/packs"
)

// shadowOptions are the flags of serve about a candidate.
type shadowOptions struct {
	file     string
	share    float64
	evidence bool
}

func (o *shadowOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.file, "shadow", "", "have the candidate ruleset of `FILE`, as slipfit trial reads it, judge a share of the checks besides")
	f.Float64Var(&o.share, "shadow-share", 0.05, "`SHARE` of the checks that the candidate judges, above 0 and at most 1")
	f.BoolVar(&o.evidence, "shadow-evidence", false, "keep the builds and findings of checks that flip, for readers of the operations address")
}

// candidate reads the ruleset; nil where none is named. builtins are the launches of
// the packs of this program, house the files of house rules that the service keeps,
// which hold for the candidate too unless it brings its own.
func (o *shadowOptions) candidate(builtins []packs.Launch, house []string) (*server.Shadow, error) {
	if o.file == "" {
		return nil, nil
	}
	if !(o.share > 0 && o.share <= 1) {
		return nil, fmt.Errorf("--shadow-share lies above 0 and at most at 1, not at %v", o.share)
	}
	ruleset, err := trial.ReadRuleset(o.file)
	if err != nil {
		return nil, err
	}
	out := &server.Shadow{
		Name: ruleset.Name, Share: o.share, Evidence: o.evidence, Packs: slices.Clone(builtins),
		Policy: ruleset.Message.Policy, Versions: map[string]string{},
	}
	for _, pin := range ruleset.Message.Packs {
		out.Versions[pin.GetName()] = pin.GetVersion()
	}
	files := house
	if ruleset.Message.HouseRules != nil {
		files = ruleset.HouseFiles
	}
	text, err := readHouse(files)
	if err != nil || text == nil {
		return out, err
	}
	launch, err := houseLaunch(*text, false)
	out.Packs = append(out.Packs, launch)
	return out, err
}

func shadowCommand() *cobra.Command {
	var operations, format string
	cmd := &cobra.Command{
		Use:   "shadow",
		Short: "Show what a candidate ruleset has made of a service's live checks",
		Long: `Show what the candidate that a service was started with (slipfit serve --shadow) has
made of the live checks that it judged besides: verdicts that flip by rule and
direction, margins that move, checks that could not be compared, and the last checks
that flipped. These name builds by the SHA-256 of their encoding; the builds
themselves and the evidence are there only where the service was started with
--shadow-evidence.`,
		Example: "  slipfit serve --shadow autumn.yaml --shadow-share 0.05\n  slipfit shadow --operations 127.0.0.1:7481",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !slices.Contains([]string{"text", "html", "json"}, format) {
				return &exit{exitUsage, fmt.Errorf("--format is text, html or json, not %q", format)}
			}
			r, err := fetchShadow(cmd.Context(), operations)
			if err != nil {
				return &exit{exitAway, err}
			}
			switch format {
			case "json":
				return writeJSON(cmd.OutOrStdout(), r, true)
			case "html":
				return trial.WriteHTML(cmd.OutOrStdout(), trial.OfShadow(r))
			default:
				return trial.WriteShadow(cmd.OutOrStdout(), r)
			}
		},
	}
	cmd.Flags().StringVar(&operations, "operations", "127.0.0.1:7481", "ask the service whose operations are at `HOST:PORT`")
	cmd.Flags().StringVar(&format, "format", "text", "write `text`, html or json")
	return cmd
}

// greatestShadow bounds what is read of a service, in bytes.
const greatestShadow = 64 << 20

// fetchShadow asks the operations address of a service.
func fetchShadow(ctx context.Context, address string) (*v1.ShadowReport, error) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+address+"/shadow", nil)
	if err != nil {
		return nil, fmt.Errorf("--operations %s is no address: %w", address, err)
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return nil, fmt.Errorf("the operations of the service cannot be reached at %s: %w", address, errors.Unwrap(err))
	}
	defer func() { _ = response.Body.Close() }()
	body, err := io.ReadAll(io.LimitReader(response.Body, greatestShadow))
	if err != nil {
		return nil, fmt.Errorf("the service ended in the middle of its report: %w", err)
	}
	if response.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("%s", strings.TrimSpace(string(body)))
	}
	r := new(v1.ShadowReport)
	if err := (protojson.UnmarshalOptions{DiscardUnknown: true}).Unmarshal(body, r); err != nil {
		return nil, fmt.Errorf("what %s answers is no report of a candidate: %w", address, err)
	}
	return r, nil
}
