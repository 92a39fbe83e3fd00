package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/clients/batch"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// BenchmarkBatch gives the rate of whole batches, from input read to answers synced on
// disk, beside that of the same rules called within this process on all processors,
// and their ratio. The two take turns, so that a machine that is busy with something
// else is so for both; where it is, the ratio of the processor time that they take,
// hands and all, tells more than that of the clock.
func BenchmarkBatch(b *testing.B) {
	for name, make := range map[string]func(b *testing.B) (func() batch.Source, *batch.Job){
		"builds": buildsInput, "matrix": matrixInput, "matrix of one pack": matrixOfOnePack,
	} {
		b.Run(name, func(b *testing.B) { compare(b, make) })
	}
}

func compare(b *testing.B, make func(b *testing.B) (func() batch.Source, *batch.Job)) {
	collectLess()
	source, job := make(b)
	checks := encodedChecks(b, source(), job)
	cmd := &cobra.Command{}
	cmd.SetErr(os.Stderr)
	ask := &target{}
	crew, err := ask.crew(cmd)
	if err != nil {
		b.Fatal(err)
	}
	defer crew.Close()
	order := judges(b, job)
	rulesAlone(b, order, checks[:min(len(checks), 200)])
	throughBatch(b, crew, source()) // all hands are up, and have met the parts
	var own, whole, ownWork, wholeWork time.Duration
	for b.Loop() {
		before := worked()
		own += rulesAlone(b, order, checks)
		between := worked()
		whole += throughBatch(b, crew, source())
		ownWork += between - before
		wholeWork += worked() - between
	}
	n := float64(len(checks) * b.N)
	b.ReportMetric(n/own.Seconds(), "rules/s")
	b.ReportMetric(n/whole.Seconds(), "batch/s")
	b.ReportMetric(own.Seconds()/whole.Seconds(), "ratio")
	if wholeWork > 0 {
		b.ReportMetric(ownWork.Seconds()/wholeWork.Seconds(), "processor-ratio")
	}
	b.ReportMetric(0, "ns/op")
}

func buildsInput(b *testing.B) (func() batch.Source, *batch.Job) {
	text, job := demoLines(b, 6000), &batch.Job{}
	return func() batch.Source {
		source, err := batch.NewLineSource("in", strings.NewReader(text), int64(len(text)), job)
		if err != nil {
			b.Fatal(err)
		}
		return source
	}, job
}

// matrixInput is cards, coolers, supplies and enclosures of the demo against each other.
func matrixInput(b *testing.B) (func() batch.Source, *batch.Job) {
	return demoMatrix(b, batchOptions{detail: "verdicts", cards: demoParts, enclosures: demoParts + "chassis.yaml",
		cross: []string{"cooler=" + demoParts + "coolers.yaml", "supply=" + demoParts + "supplies.yaml", "fan=" + demoParts + "fans.yaml"}})
}

func matrixOfOnePack(b *testing.B) (func() batch.Source, *batch.Job) {
	o := batchOptions{detail: "verdicts", cards: demoParts, enclosures: demoParts + "chassis.yaml",
		cross: []string{"cooler=" + demoParts + "coolers.yaml", "supply=" + demoParts + "supplies.yaml", "fan=" + demoParts + "fans.yaml"}}
	o.packs = []string{"clearance"}
	return demoMatrix(b, o)
}

const demoParts = "../demo/parts/"

func demoMatrix(b *testing.B, o batchOptions) (func() batch.Source, *batch.Job) {
	job, err := o.job()
	if err != nil {
		b.Fatal(err)
	}
	axes := append([]string{"card=" + o.cards, "enclosure=" + o.enclosures}, o.cross...)
	return func() batch.Source {
		source, err := o.matrix(job, axes)
		if err != nil {
			b.Fatal(err)
		}
		return source
	}, job
}

// encodedChecks encodes the lines of a source for the rules alone.
func encodedChecks(b *testing.B, source batch.Source, job *batch.Job) (checks [][]byte) {
	for {
		chunk, _ := source.Next()
		if chunk == nil {
			return checks
		}
		for _, line := range chunk.Lines {
			build := new(v1.Build)
			var err error
			if chunk.Binary {
				err = proto.Unmarshal(line.Text, build)
			} else {
				err = protojson.Unmarshal(line.Text, build)
			}
			if err != nil {
				b.Fatal(err)
			}
			check, err := proto.Marshal(&v1.CheckRequest{Build: build})
			if err != nil {
				b.Fatal(err)
			}
			checks = append(checks, append(check, job.Suffix...))
		}
	}
}

// rulesAlone is how long the rules alone take for all checks, on all processors.
func rulesAlone(b *testing.B, order []*kit.Evaluator, checks [][]byte) time.Duration {
	var next atomic.Int64
	var group sync.WaitGroup
	started := time.Now()
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			out := make([]kit.Outcome, len(order))
			for i := next.Add(1) - 1; i < int64(len(checks)); i = next.Add(1) - 1 {
				var facts []kit.Fact
				for k, e := range order {
					if err := e.Evaluate(checks[i], facts, &out[k]); err != nil {
						b.Error(err)
					}
					facts = append(facts, out[k].Facts...)
				}
			}
		})
	}
	group.Wait()
	return time.Since(started)
}

// judges are the packs that a job asks, each behind those whose facts it needs.
func judges(b *testing.B, job *batch.Job) (order []*kit.Evaluator) {
	request := new(v1.CheckRequest)
	if err := proto.Unmarshal(job.Suffix, request); err != nil {
		b.Fatal(err)
	}
	var packs []*kit.Evaluator
	for _, p := range builtin {
		asked := len(request.Packs) == 0 && !p.pack().OnRequest
		for _, pin := range request.Packs {
			asked = asked || pin.GetName() == p.name
		}
		if !asked {
			continue
		}
		e, err := kit.NewEvaluator(p.pack())
		if err != nil {
			b.Fatal(err)
		}
		packs = append(packs, e)
	}
	return byNeeds(packs)
}

// byNeeds puts packs into an order in which each comes behind those that it needs.
func byNeeds(packs []*kit.Evaluator) (order []*kit.Evaluator) {
	waits := map[string]bool{}
	for _, p := range packs {
		for _, f := range p.Describe().Provides {
			waits[f] = true
		}
	}
	placed := map[*kit.Evaluator]bool{}
	for len(order) < len(packs) {
		for _, p := range packs {
			ready := !placed[p]
			for _, f := range p.Describe().Needs {
				ready = ready && !waits[f]
			}
			if !ready {
				continue
			}
			placed[p] = true
			order = append(order, p)
			for _, f := range p.Describe().Provides {
				delete(waits, f)
			}
		}
	}
	return order
}

// throughBatch is how long a batch takes from its input to answers on disk.
func throughBatch(b *testing.B, p batch.Processor, source batch.Source) time.Duration {
	out := filepath.Join(b.TempDir(), fmt.Sprintf("out-%d.ndjson", time.Now().UnixNano()))
	started := time.Now()
	if _, err := batch.Run(context.Background(), source, p, batch.Options{Output: out}); err != nil {
		b.Fatal(err)
	}
	return time.Since(started)
}

// worked is the processor time of this process and of those that it has started and
// that still run, by proc(5); 0 where there is no such thing.
func worked() (sum time.Duration) {
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, name := range stats {
		text, err := os.ReadFile(name)
		if err != nil {
			continue // it has ended
		}
		_, after, _ := strings.Cut(string(text), ") ")
		fields := strings.Fields(after)
		if len(fields) < 13 || filepath.Base(filepath.Dir(name)) != fmt.Sprint(os.Getpid()) && fields[1] != fmt.Sprint(os.Getpid()) {
			continue
		}
		for _, ticks := range fields[11:13] {
			n, err := strconv.Atoi(ticks)
			if err == nil {
				sum += time.Duration(n) * (time.Second / 100)
			}
		}
	}
	return sum
}
