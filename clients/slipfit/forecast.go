package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/thermal"
)

func forecastCommand() *cobra.Command {
	o := &forecastOptions{}
	cmd := &cobra.Command{
		Use:   "forecast BUILD",
		Short: "Tell how warm and how loud a build gets, and at which fan speeds",
		Long: `Tell how air passes a build, how warm its parts get and how loud it is; the fan
speeds that keep every die below its limit at the least noise; and what single
changes would bring, every position of a fan judged both ways.

The exit code is 2 when not enough is known to tell temperatures.`,
		Example: "  slipfit forecast build.yaml\n  slipfit forecast build.yaml --chart rise-and-sound.svg --calibration build-fit.yaml",
		Args:    cobra.ExactArgs(1),
		RunE:    func(cmd *cobra.Command, args []string) error { return forecast(cmd, o, args[0]) },
	}
	o.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&o.chart, "chart", "", "draw temperature rise against sound over fan speed to `FILE.svg`")
	f.StringVar(&o.calibration, "calibration", "", "take along what 'slipfit fit' has written to `FILE`")
	f.StringArrayVar(&o.policy, "policy", nil, "set a rule's parameter, as `NAME=NUMBER`; may be given again")
	return cmd
}

type forecastOptions struct {
	target
	chart, calibration string
	policy             []string
}

func forecast(cmd *cobra.Command, o *forecastOptions, file string) error {
	policy, err := policyValues(o.policy)
	if err != nil {
		return &exit{exitUsage, err}
	}
	entry, err := oneBuild(cmd.InOrStdin(), file)
	if err != nil {
		return err
	}
	if o.calibration != "" && entry.Err == nil {
		if entry.Message.Calibration, err = readCalibration(o.calibration); err != nil {
			return &exit{exitUsage, err}
		}
	}
	request := &v1.CheckRequest{Policy: policy, Wants: []string{thermal.ForecastFact, thermal.SettingsFact}}
	if o.chart != "" {
		request.Wants = append(request.Wants, thermal.ChartFact)
	}
	for _, name := range [...]string{"clearance", "power", "thermal"} {
		request.Packs = append(request.Packs, &v1.PackPin{Name: &name})
	}
	var answer *v1.CheckResponse
	err = o.with(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		var bad *badBuild
		var err error
		if answer, err = ask(ctx, v1.NewCheckServiceClient(conn), entry, request); errors.As(err, &bad) {
			return &exit{exitUsage, bad.reason}
		}
		return err
	})
	if err != nil {
		return err
	}
	return showForecast(cmd, o, tagOf(entry), answer)
}

func showForecast(cmd *cobra.Command, o *forecastOptions, tag string, answer *v1.CheckResponse) error {
	var f *v1.Forecast
	var s *v1.Settings
	var chart string
	for _, fact := range answer.GetFacts() {
		switch {
		case fact.GetForecast() != nil:
			f = fact.GetForecast()
		case fact.GetSettings() != nil:
			s = fact.GetSettings()
		case fact.GetPicture() != nil:
			chart = fact.GetPicture().GetSvg()
		}
	}
	out := cmd.OutOrStdout()
	writeForecast(out, f)
	if !f.GetSolved() {
		reason := f.GetReason()
		if reason == "" {
			reason = "the pack thermal did not answer"
		}
		return &exit{exitUnknown, fmt.Errorf("%s: %s", tag, reason)}
	}
	writeSettings(out, s)
	if o.chart == "" {
		return nil
	}
	if chart == "" {
		return &exit{exitUnknown, fmt.Errorf("%s: there is no chart without the sound of every fan; 'slipfit check' tells what is missing", tag)}
	}
	if err := os.WriteFile(o.chart, []byte(chart), 0o666); err != nil {
		return &exit{exitUsage, fmt.Errorf("the chart cannot be written: %w", err)}
	}
	return nil
}

// spanWords is a range as people read it.
func spanWords(s *v1.Span, unit string) string {
	if s == nil {
		return "?"
	}
	if math.Abs(s.GetHigh()-s.GetLow()) < 0.05 {
		return fmt.Sprintf("%.1f %s", s.GetNominal(), unit)
	}
	return fmt.Sprintf("%.1f (%.1f to %.1f) %s", s.GetNominal(), s.GetLow(), s.GetHigh(), unit)
}

func writeForecast(out io.Writer, f *v1.Forecast) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	defer func() { _ = w.Flush() }()
	fmt.Fprintln(w, "Air\t\t")
	for _, z := range f.GetZones() {
		fmt.Fprintf(w, "  %s\t%s\t%s\n", report.Plain(z.GetId()), spanWords(z.GetRiseK(), "K above the room"), pressure(z.GetPressurePa()))
	}
	for _, b := range f.GetBranches() {
		if b.Item != nil {
			fmt.Fprintf(w, "  %s: %s to %s\t%s\t%s\n", report.Plain(b.GetItem()), report.Plain(b.GetFrom()), report.Plain(b.GetTo()), spanWords(b.GetFlowM3H(), "m3/h"), report.Plain(b.GetState()))
		}
	}
	fmt.Fprintf(w, "  through the enclosure\t%s\t%s\n", spanWords(f.GetThroughM3H(), "m3/h"), "leaves "+spanWords(f.GetExhaustRiseK(), "K warmer"))
	fmt.Fprintln(w, "Warmth\t\t")
	for _, p := range f.GetPoints() {
		limit := ""
		if p.LimitC != nil {
			limit = fmt.Sprintf("may have %.0f °C", p.GetLimitC())
		}
		fmt.Fprintf(w, "  %s of %s\t%s\t%s\n", report.Plain(p.GetOf()), report.Plain(p.GetItem()), spanWords(p.GetRiseK(), "K above the room"), limit)
	}
	if f.GetWarmUpMin() != nil {
		fmt.Fprintf(w, "  steady within 1 K after\t%s\t\n", spanWords(f.GetWarmUpMin(), "min"))
	}
	fmt.Fprintln(w, "Sound\t\t")
	for _, s := range f.GetSources() {
		fmt.Fprintf(w, "  %s\t%s\t%s\n", report.Plain(s.GetItem()), spanWords(s.GetLevelDba(), "dB(A)"), rpmWords(s.GetSpeedRpm()))
	}
	fmt.Fprintf(w, "  machine alone\t%s\t\n  meter with the room\t%s\t\n", spanWords(f.GetMachineDba(), "dB(A)"), spanWords(f.GetLevelDba(), "dB(A)"))
	if len(f.GetEstimates()) > 0 {
		fmt.Fprintf(w, "Estimated: %s\t\t\n", report.Plain(strings.Join(f.GetEstimates(), ", ")))
	}
}

func pressure(s *v1.Span) string { return fmt.Sprintf("%+.2f Pa", s.GetNominal()) }

func rpmWords(rpm float64) string {
	if rpm <= 0 {
		return ""
	}
	return fmt.Sprintf("at %.0f rpm", rpm)
}

func writeSettings(out io.Writer, s *v1.Settings) {
	if s == nil || s.Reachable == nil {
		return
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	defer func() { _ = w.Flush() }()
	fmt.Fprintln(w)
	if s.GetReachable() {
		fmt.Fprintf(w, "Quietest speeds that keep every die below its limit: %s\t\t\n", spanWords(s.GetLevelDba(), "dB(A)"))
	} else {
		fmt.Fprintf(w, "Not every die stays below its limit even at full speed: %s\t\t\n", spanWords(s.GetLevelDba(), "dB(A)"))
	}
	for _, sp := range s.GetSpeeds() {
		var curve []string
		for _, c := range sp.GetCurve() {
			curve = append(curve, fmt.Sprintf("%.0f °C %.0f rpm", c.GetTemperatureC(), c.GetSpeedRpm()))
		}
		fmt.Fprintf(w, "  %s\t%.0f rpm\t%s\n", report.Plain(sp.GetItem()), sp.GetSpeedRpm(), strings.Join(curve, ", "))
	}
	if len(s.GetImprovements()) > 0 {
		fmt.Fprintln(w, "What one change would bring, for the die that is closest to its limit\t\t")
	}
	for _, i := range s.GetImprovements() {
		fmt.Fprintf(w, "  %s\t%+.1f K\t%+.1f dB\n", report.Plain(i.GetAction()), i.GetChangeK().GetNominal(), i.GetChangeDb().GetNominal())
	}
}
