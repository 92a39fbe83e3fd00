package main

import (
	"context"
	"log/slog"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// The candidate of a file judges live checks beside, and the command tells what it
// came to, with and without the evidence.
func TestShadowTellsWhatACandidateMadeOfLiveChecks(t *testing.T) {
	file := written(t, "autumn.yaml", "title: Autumn\npolicy: {tolerance.length_mm: 8}\nhouse: ["+demoHousePath(t)+"]\n")
	entry, err := oneBuild(nil, builds+"upright-card.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for evidence, want := range map[bool]string{
		false: "      clearance.card-length: PASS to MARGINAL\n",
		true:  "Gischt 220 is 40 mm thick where 48 mm are free",
	} {
		starts, err := launches()
		if err != nil {
			t.Fatal(err)
		}
		o := shadowOptions{file: file, share: 1, evidence: evidence}
		config := server.Config{Packs: starts, Log: slog.New(slog.DiscardHandler)}
		if config.Shadow, err = o.candidate(starts, nil); err != nil {
			t.Fatal(err)
		}
		s, err := server.Start(t.Context(), config)
		if err != nil {
			t.Fatal(err)
		}
		web := httptest.NewServer(s.Operations())
		conn, err := s.Connect()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := v1.NewCheckServiceClient(conn).Check(t.Context(), &v1.CheckRequest{Build: entry.Message}); err != nil {
			t.Fatal(err)
		}
		address := web.Listener.Addr().String()
		var code int
		var out, errOut string
		for end := time.Now().Add(20 * time.Second); !strings.Contains(out, "of 1 builds flip") && time.Now().Before(end); {
			code, out, errOut = slipfit(t, "", "shadow", "--operations", address)
		}
		if code != exitFits || errOut != "" || !strings.Contains(out, "candidate  Autumn\n") || !strings.Contains(out, want) ||
			!strings.Contains(out, "\n  clearance.card-length ") || !strings.Contains(out, "house.two-copies") {
			t.Errorf("exit code %d, errors %q, want %q in\n%s", code, errOut, want, out)
		}
		if code, page, _ := slipfit(t, "", "shadow", "--operations", address, "--format", "html"); code != exitFits || strings.Contains(page, "evidence not kept") == evidence {
			t.Errorf("exit code %d, page\n%s", code, page)
		}
		_ = conn.Close()
		web.Close()
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	}
}

func TestShadowSaysWhatIsWrong(t *testing.T) {
	for _, c := range []struct {
		want string
		code int
		args []string
	}{
		{"--shadow-share lies above 0 and at most at 1, not at 2", exitUsage, []string{"serve", "--listen", "127.0.0.1:0", "--operations", "", "--shadow", written(t, "a.yaml", ""), "--shadow-share", "2"}},
		{"bad.yaml:1:1: a ruleset holds 'title', 'packs', 'policy' and 'house'", exitUsage, []string{"serve", "--listen", "127.0.0.1:0", "--operations", "", "--shadow", written(t, "bad.yaml", "polices: {}")}},
		{"the candidate cannot be followed: no parameter is called", exitBroke, []string{"serve", "--listen", "127.0.0.1:0", "--operations", "", "--shadow", written(t, "c.yaml", "policy: {tolerance.lenght_mm: 1}")}},
		{"the operations of the service cannot be reached at 127.0.0.1:1", exitAway, []string{"shadow", "--operations", "127.0.0.1:1"}},
		{"--format is text, html or json", exitUsage, []string{"shadow", "--format", "xml"}},
	} {
		if code, _, errOut := slipfit(t, "", c.args...); code != c.code || !strings.Contains(errOut, c.want) {
			t.Errorf("%v: exit code %d, errors %q, want %d and %q", c.args, code, errOut, c.code, c.want)
		}
	}
}
