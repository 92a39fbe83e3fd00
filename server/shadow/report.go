package shadow

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/trial"
)

// state is what was counted.
type state struct {
	own, silent uint64

	tally   trial.Tally
	trouble string
	recent  []*v1.ShadowExample // a ring once it is full
	next    int                 // place of the oldest
}

func (s *Shadow) count(step func(*state)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	step(&s.state)
}

func (s *Shadow) silence(reason string) {
	s.count(func(st *state) { st.silent, st.trouble = st.silent+1, reason })
}

func (s *Shadow) refuse(err error) {
	reason := "the candidate could not follow what a request asks for"
	if s.config.Evidence {
		reason += ": " + err.Error()
	}
	s.count(func(st *state) {
		st.tally.Refused()
		st.trouble = reason
	})
}

// compare counts what differs, and keeps a check that flips.
func (s *Shadow) compare(a *answered, build []byte, live, candidate *v1.CheckResponse, took time.Duration) {
	sum := sha256.Sum256(build)
	d := trial.Compare(hex.EncodeToString(sum[:]), live, candidate)
	var example *v1.ShadowExample
	if len(d.Flips) > 0 {
		example = s.example(d, build)
	}
	s.count(func(st *state) {
		st.trouble = ""
		st.tally.Judged(d, live, candidate, [2]time.Duration{a.took, took})
		if example != nil {
			st.keep(example)
		}
	})
}

func (st *state) keep(e *v1.ShadowExample) {
	if len(st.recent) < keptExamples {
		st.recent = append(st.recent, e)
		return
	}
	st.recent[st.next] = e
	st.next = (st.next + 1) % keptExamples
}

// example is a check to look at later.
func (s *Shadow) example(d *v1.BuildDifference, build []byte) *v1.ShadowExample {
	out := &v1.ShadowExample{At: moment(time.Now()), Difference: d}
	if !s.config.Evidence {
		out.Difference = bare(d)
		return out
	}
	out.Build = new(v1.Build)
	if out.Build.UnmarshalVT(build) != nil {
		out.Build = nil // it was judged, so that it can be read; what cannot is left out
	}
	return out
}

// bare is a difference without anything of the document.
func bare(d *v1.BuildDifference) *v1.BuildDifference {
	out := &v1.BuildDifference{Tag: d.Tag, Baseline: d.Baseline, Candidate: d.Candidate}
	for _, f := range d.Flips {
		out.Flips = append(out.Flips, &v1.Flip{Rule: f.Rule, Baseline: bareFinding(f.Baseline), Candidate: bareFinding(f.Candidate)})
	}
	for _, m := range d.Margins {
		out.Margins = append(out.Margins, &v1.MarginMove{Rule: m.Rule, Verdict: m.Verdict})
	}
	return out
}

func bareFinding(f *v1.Finding) *v1.Finding {
	if f == nil {
		return nil
	}
	return &v1.Finding{Rule: f.Rule, Pack: f.Pack, Version: f.Version, Verdict: f.Verdict}
}

// Report is what was counted so far; examples brings the last checks that flipped.
func (s *Shadow) Report(examples bool) *v1.ShadowReport {
	s.mu.Lock()
	defer s.mu.Unlock()
	st := &s.state
	out := &v1.ShadowReport{
		Candidate: &s.config.Name, Share: &s.config.Share, Since: moment(s.since),
		Picked: proto.Uint64(s.picked.Load()), DroppedFull: proto.Uint64(s.full.Load()), DroppedBusy: proto.Uint64(s.busy.Load()),
		OwnRuleset: proto.Uint64(st.own), Silent: proto.Uint64(st.silent), Summary: st.tally.Summary(),
	}
	if st.trouble != "" {
		out.Trouble = proto.String(st.trouble)
	}
	if examples {
		for i := range st.recent {
			newest := len(st.recent) + st.next - 1 - i
			out.Recent = append(out.Recent, st.recent[newest%len(st.recent)])
		}
	}
	return out
}

func moment(t time.Time) *string { return proto.String(t.UTC().Format(time.RFC3339)) }
