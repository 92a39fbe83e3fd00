package server_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/power"
)

// replacedPrefix begins the name of a program that is the power pack in the version
// that follows.
const replacedPrefix = "power-pack-"

// beReplaced is such a pack, or reports false.
func beReplaced() bool {
	version, ok := strings.CutPrefix(filepath.Base(os.Args[0]), replacedPrefix)
	if !ok {
		return false
	}
	p := power.Pack()
	p.Version = version
	bePackOf(p)
	return true
}

// BenchmarkReplace checks the demo build through all packs from as many callers as
// keep the processors busy, and meanwhile replaces one of the packs again and again.
// It reports the latency of checks that met no replacement and of those that did, in
// one run, and the replacements' own time. A check that fails fails the benchmark.
func BenchmarkReplace(b *testing.B) {
	for _, callers := range []int{1, 8, 32} {
		b.Run(fmt.Sprintf("callers=%d", callers), func(b *testing.B) { replaceUnder(b, callers) })
	}
}

// aftermath is the time that belongs to a replacement after it serves: its spare starts
// and the old processes end.
const aftermath = 300 * time.Millisecond

func replaceUnder(b *testing.B, callers int) {
	f := newFolder(b)
	revision := 0
	publish := func() {
		revision++
		version := fmt.Sprintf("9.0.%d", revision)
		old, err := filepath.Glob(filepath.Join(f.folder.Path, replacedPrefix+"*"))
		if err != nil {
			b.Fatal(err)
		}
		for _, program := range old {
			_ = os.Remove(program)
		}
		program := replacedPrefix + version
		if err := os.Link(os.Args[0], filepath.Join(f.folder.Path, program)); err != nil {
			f.copyProgram(program)
		}
		f.sign(fmt.Sprintf("revision: %d\npacks:\n", revision) + f.entry(version, "name: power", "program: "+program))
	}
	publish()
	config := f.config()
	config.Packs, config.ShelfPeriod, config.PackTimeout = launches(), time.Hour, 2*time.Second
	config.PackOptions.Spare = true
	s := start(b, config)
	conn, _ := dial(b, s)
	checks, packs := v1.NewCheckServiceClient(conn), v1.NewPackServiceClient(conn)
	request := demoRequest(b)
	var changing atomic.Bool
	var mu sync.Mutex
	var usual, met []time.Duration
	ctx, stop := context.WithCancel(context.Background())
	var askers sync.WaitGroup
	for range callers {
		askers.Go(func() {
			for ctx.Err() == nil {
				before := changing.Load()
				at := time.Now()
				answer, err := checks.Check(context.Background(), request)
				took := time.Since(at)
				if err != nil || answer.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN || slices.ContainsFunc(answer.GetRuleset().GetPacks(), func(p *v1.PackVersion) bool { return !p.GetAnswered() }) {
					b.Errorf("a check is answered %v: %v", answer.GetRuleset(), err)
				}
				mu.Lock()
				if before || changing.Load() {
					met = append(met, took)
				} else {
					usual = append(usual, took)
				}
				mu.Unlock()
			}
		})
	}
	time.Sleep(time.Second) // what only the first checks do
	mu.Lock()
	usual, met = nil, nil
	mu.Unlock()
	for b.Loop() {
		b.StopTimer()
		time.Sleep(500 * time.Millisecond)
		publish()
		b.StartTimer()
		changing.Store(true)
		if _, err := packs.ReloadPacks(context.Background(), &v1.ReloadPacksRequest{}); err != nil {
			b.Fatal(err)
		}
		b.StopTimer()
		time.Sleep(aftermath)
		changing.Store(false)
		b.StartTimer()
	}
	stop()
	askers.Wait()
	for name, all := range map[string][]time.Duration{"usual": usual, "replaced": met} {
		slices.Sort(all)
		b.ReportMetric(float64(len(all)), name+"-checks")
		b.ReportMetric(ms(quantile(all, .5)), name+"-p50-ms")
		b.ReportMetric(ms(quantile(all, .99)), name+"-p99-ms")
	}
	b.ReportMetric(float64(quantile(met, .99))/float64(max(1, quantile(usual, .99))), "p99-ratio")
}

func quantile(sorted []time.Duration, q float64) time.Duration {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[int(q*float64(len(sorted)-1))]
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
