package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"text/tabwriter"

	"buf.build/go/protovalidate"
	"github.com/spf13/cobra"
	"go.yaml.in/yaml/v3"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/fitting"
	"slipfit.example/rules/thermal"
	"slipfit.example/server/document"
)

func fitCommand() *cobra.Command {
	var (
		t    target
		file string
	)
	cmd := &cobra.Command{
		Use:   "fit BUILD RUN... -o CALIBRATION.yaml",
		Short: "Fit the forecast of a build to measured runs",
		Long: `Fit the forecast of heat and sound to measured runs of a build: temperatures with
the room's own, and levels with the machine on and off. Only what the runs can
settle is changed; what they cannot tell apart is said. Readings that cannot be
right are told and left out.

The calibration is written as YAML. 'slipfit check --calibration FILE' takes it
along, or the build carries it under "calibration".

A machine under load is hot inside: take readings with its panels on, and never
reach into it.`,
		Example: "  slipfit fit build.yaml run-1.yaml run-2.yaml -o build-fit.yaml",
		Args:    cobra.MinimumNArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return fitRuns(cmd, &t, args[0], args[1:], file)
		},
	}
	t.flags(cmd)
	cmd.Flags().StringVarP(&file, "output", "o", "-", "write the calibration to `FILE`")
	return cmd
}

func fitRuns(cmd *cobra.Command, t *target, build string, names []string, file string) error {
	entry, err := oneBuild(cmd.InOrStdin(), build)
	if err != nil {
		return err
	}
	if entry.Err != nil {
		return &exit{exitUsage, entry.Err}
	}
	runs, err := readRuns(names)
	if err != nil {
		return &exit{exitUsage, err}
	}
	subject, err := subjectOf(cmd, t, entry)
	if err != nil {
		return err
	}
	result, err := fitting.Calibrate(subject, runs)
	writeNotes(cmd.ErrOrStderr(), result.Notes)
	if err != nil {
		return &exit{exitUnknown, err}
	}
	encoded, err := yamlOf(result.Calibration)
	if err != nil {
		return err
	}
	if file == "-" {
		_, err = cmd.OutOrStdout().Write(encoded)
		writeFit(cmd.ErrOrStderr(), result)
		return err
	}
	if err := os.WriteFile(file, encoded, 0o666); err != nil {
		return &exit{exitUsage, fmt.Errorf("the calibration cannot be written: %w", err)}
	}
	writeFit(cmd.OutOrStdout(), result)
	return nil
}

// subjectOf asks for where the parts lie and what they draw.
func subjectOf(cmd *cobra.Command, t *target, entry buildEntry) (s fitting.Subject, err error) {
	s = fitting.Subject{Build: entry.Message, Version: thermal.Pack().Version}
	power, room := "power", "clearance"
	err = t.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		answer, err := ask(ctx, v1.NewCheckServiceClient(conn), entry, &v1.CheckRequest{
			Packs: []*v1.PackPin{{Name: &power}, {Name: &room}},
			Wants: []string{thermal.DemandFact, clearance.FactArrangement},
		})
		var bad *badBuild
		if errors.As(err, &bad) {
			return &exit{exitUsage, bad.reason}
		}
		if err != nil {
			return err
		}
		for _, f := range answer.Facts {
			switch {
			case f.GetDemand() != nil:
				s.Demand = f.GetDemand()
			case f.GetArrangement() != nil:
				s.Arrangement = f.GetArrangement()
			}
		}
		return nil
	})
	if err == nil && len(s.Demand.GetMissing()) > 0 {
		return s, &exit{exitUnknown, fmt.Errorf("%s: not all heat of the build is known; add %s", tagOf(entry), s.Demand.Missing[0])}
	}
	return s, err
}

// readRuns reads measured runs, one or several in a file.
func readRuns(names []string) ([]*v1.MeasuredRun, error) {
	validator, err := protovalidate.New(protovalidate.WithMessages(&v1.MeasuredRun{}))
	if err != nil {
		return nil, err
	}
	var runs []*v1.MeasuredRun
	for _, name := range names {
		f, err := os.Open(name)
		if err != nil {
			return nil, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err))
		}
		for e := range document.ReadAll(name, f, document.Options{}, func() *v1.MeasuredRun { return new(v1.MeasuredRun) }) {
			if e.Err == nil {
				e.Err = validator.Validate(e.Message)
			}
			if e.Err != nil {
				_ = f.Close()
				return nil, fmt.Errorf("%s, run %d: %w", name, e.Number, e.Err)
			}
			runs = append(runs, e.Message)
		}
		_ = f.Close()
	}
	if len(runs) == 0 {
		return nil, errors.New("the files hold no run; a run has a room_temperature_c and readings")
	}
	return runs, nil
}

// readCalibration reads what fit has written.
func readCalibration(name string) (*v1.Calibration, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err))
	}
	c := new(v1.Calibration)
	if err := document.Read(name, data, c); err != nil {
		return nil, err
	}
	return c, nil
}

// yamlOf writes a message as YAML with the contract's field names, in the order of
// the contract.
func yamlOf(m proto.Message) ([]byte, error) {
	encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		return nil, err
	}
	var compact bytes.Buffer
	if err := json.Compact(&compact, encoded); err != nil {
		return nil, err
	}
	var tree yaml.Node
	if err := yaml.Unmarshal(compact.Bytes(), &tree); err != nil {
		return nil, err
	}
	block(&tree)
	var out bytes.Buffer
	w := yaml.NewEncoder(&out)
	w.SetIndent(2)
	if err := w.Encode(&tree); err != nil {
		return nil, err
	}
	return out.Bytes(), w.Close()
}

// block takes JSON's braces and quotes off.
func block(n *yaml.Node) {
	n.Style = 0
	for _, c := range n.Content {
		block(c)
	}
}

func writeNotes(out io.Writer, notes []fitting.Note) {
	for _, n := range notes {
		fmt.Fprintln(out, report.Plain(n.Run+": "+n.Text))
	}
}

// writeFit tells how well the forecast fits now.
func writeFit(out io.Writer, r fitting.Report) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "run\tof\treading\tforecast\tfitted\toff")
	for _, x := range r.Readings {
		fmt.Fprintf(w, "%s\t%s\t%.1f %s\t%.1f\t%.1f\t%+.1f\n", report.Plain(x.Run), report.Plain(x.Of+" of "+x.Item), x.Read, x.Unit, x.Before, x.After, x.After-x.Read)
	}
	_ = w.Flush()
	for _, a := range r.Alone {
		at := ""
		if a.UpperBound {
			at = ", an upper bound: the room is too loud for more"
		}
		fmt.Fprintf(out, "%s: the machine alone makes %.1f dB(A) at the meter (%.1f to %.1f)%s\n", report.Plain(a.Run), a.Nominal, a.Low, a.High, at)
	}
	fmt.Fprintln(out)
	for _, c := range r.Calibration.Coefficients {
		fmt.Fprintf(out, "%s: %+.2f (%+.2f to %+.2f) of its range; the runs settle %.0f %% of what was open\n",
			c.GetName(), c.GetPlace(), c.GetLow(), c.GetHigh(), 100*r.Told[c.GetName()])
	}
	if len(r.Calibration.Coefficients) == 0 {
		fmt.Fprintln(out, "The runs settle none of the coefficients: they say nothing that was not known.")
	}
	for _, p := range r.Calibration.Together {
		fmt.Fprintf(out, "%s and %s cannot be told apart by these runs (correlation %.2f): a run that changes one alone would\n",
			p.GetFirst(), p.GetSecond(), p.GetCorrelation())
	}
	fmt.Fprintln(out, r.Holds)
}
