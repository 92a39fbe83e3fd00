package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// fakePack is a pack without a process: its behaviour answers batches, and it can
// be killed and started at will.
type fakePack struct {
	name     string
	needs    []string
	provides []string
	behave   func(ctx context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error)

	mu       sync.Mutex
	life     *fakeLife
	changed  chan struct{}
	giveUp   bool
	version  string
	recycled []error
	batches  [][]int // sizes in tasks of batches, by life
}

type fakeLife struct {
	pack *fakePack
	done chan struct{}
	once sync.Once
	desc *packv1.DescribeResponse
}

func newFake(name string, needs, provides []string) *fakePack {
	p := &fakePack{name: name, needs: needs, provides: provides, changed: make(chan struct{}), version: "1.0.0"}
	p.behave = func(_ context.Context, r *packv1.EvaluateRequest) (*packv1.EvaluateResponse, error) {
		return p.honest(r), nil
	}
	p.start()
	return p
}

func (p *fakePack) start() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.life = &fakeLife{pack: p, done: make(chan struct{}), desc: &packv1.DescribeResponse{
		Name: &p.name, Version: proto.String(p.version), Needs: p.needs, Provides: p.provides,
		Rules: []*v1.Rule{{Id: proto.String(p.name + ".rule"), Parameters: []*v1.Parameter{{
			Name: proto.String(p.name + ".rule.limit_mm"), Unit: proto.String("mm"),
			Least: proto.Float64(0), Greatest: proto.Float64(10), DefaultValue: proto.Float64(1),
		}}}},
	}}
	p.batches = append(p.batches, nil)
	close(p.changed)
	p.changed = make(chan struct{})
}

func (p *fakePack) kill() {
	p.mu.Lock()
	life := p.life
	p.life = nil
	close(p.changed)
	p.changed = make(chan struct{})
	p.mu.Unlock()
	if life != nil {
		life.once.Do(func() { close(life.done) })
	}
}

func (p *fakePack) Name() string { return p.name }

func (p *fakePack) Instance() (Instance, bool, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.life == nil {
		return nil, p.giveUp, errors.New("it was killed")
	}
	return p.life, false, nil
}

func (p *fakePack) Changed() <-chan struct{} {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.changed
}

// Recycle kills the instance and starts another.
func (p *fakePack) Recycle(instance Instance, reason error) {
	p.mu.Lock()
	p.recycled = append(p.recycled, reason)
	same := p.life == instance.(*fakeLife)
	p.mu.Unlock()
	if same {
		p.kill()
		p.start()
	}
}

func (p *fakePack) reasons() []error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]error(nil), p.recycled...)
}

func (l *fakeLife) Describe() *packv1.DescribeResponse { return l.desc }
func (l *fakeLife) Done() <-chan struct{}              { return l.done }

func (l *fakeLife) Open(ctx context.Context) (packv1.PackService_EvaluateClient, error) {
	s := &fakeStream{life: l, ctx: ctx, replies: make(chan *packv1.EvaluateResponse, 8), failed: make(chan error, 1)}
	return s, nil
}

// fakeStream answers each batch on a goroutine of its own.
type fakeStream struct {
	grpc.ClientStream
	life    *fakeLife
	ctx     context.Context
	replies chan *packv1.EvaluateResponse
	failed  chan error
}

func (s *fakeStream) Send(r *packv1.EvaluateRequest) error {
	select {
	case <-s.life.done:
		return io.EOF
	default:
	}
	p := s.life.pack
	p.mu.Lock()
	p.batches[len(p.batches)-1] = append(p.batches[len(p.batches)-1], len(r.Tasks))
	p.mu.Unlock()
	request := proto.Clone(r).(*packv1.EvaluateRequest)
	go func() {
		reply, err := p.behave(s.ctx, request)
		if err != nil {
			s.failed <- err
			return
		}
		s.replies <- reply
	}()
	return nil
}

func (s *fakeStream) Recv() (*packv1.EvaluateResponse, error) {
	select {
	case r := <-s.replies:
		return r, nil
	case err := <-s.failed:
		return nil, err
	case <-s.life.done:
		return nil, io.EOF
	case <-s.ctx.Done():
		return nil, s.ctx.Err()
	}
}

// honest answers each task with one PASS finding whose summary repeats the build's
// id and the facts that came along, and provides the pack's facts.
func (p *fakePack) honest(r *packv1.EvaluateRequest) *packv1.EvaluateResponse {
	out := &packv1.EvaluateResponse{Batch: r.Batch}
	for _, task := range r.Tasks {
		var check v1.CheckRequest
		if err := proto.Unmarshal(task.Check, &check); err != nil {
			panic(err)
		}
		text := check.GetBuild().GetId()
		for _, f := range task.Facts {
			var fact v1.Fact
			if err := proto.Unmarshal(f.GetValue(), &fact); err != nil {
				panic(err)
			}
			text += fmt.Sprintf(" %s=%s", f.GetName(), fact.GetPicture().GetSvg())
		}
		findings, err := proto.Marshal(&v1.CheckResponse{Findings: []*v1.Finding{{
			Rule: proto.String(p.name + ".rule"), Pack: &p.name, Verdict: v1.Verdict_VERDICT_PASS.Enum(),
			Summary: &v1.Message{Text: &text},
		}}})
		if err != nil {
			panic(err)
		}
		o := &packv1.Outcome{Findings: findings, Verdict: v1.Verdict_VERDICT_PASS.Enum(), Counts: []uint32{1, 0, 0, 0}}
		for _, name := range p.provides {
			o.Facts = append(o.Facts, &packv1.Fact{Name: &name, Value: factOf(name)})
		}
		out.Outcomes = append(out.Outcomes, o)
	}
	return out
}

// factOf is a fact that says which pack made it, encoded.
func factOf(name string) []byte {
	pack, _, _ := strings.Cut(name, ".")
	b, err := proto.Marshal(&v1.Fact{Name: &name, Content: &v1.Fact_Picture{Picture: &v1.Picture{Svg: proto.String("of-" + pack)}}})
	if err != nil {
		panic(err)
	}
	return b
}

func startPipeline(t testing.TB, options Options, fakes ...*fakePack) *Pipeline {
	t.Helper()
	sources := make([]Source, len(fakes))
	for i, f := range fakes {
		sources[i] = f
	}
	p, err := Start(sources, options)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.Stop)
	return p
}

func encodeCheck(t testing.TB, r *v1.CheckRequest) []byte {
	t.Helper()
	b, err := proto.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func checkOf(t testing.TB, id string) []byte {
	return encodeCheck(t, &v1.CheckRequest{Build: &v1.Build{Id: &id}})
}

func ask(t testing.TB, p *Pipeline, check []byte) *v1.CheckResponse {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	answer, err := p.Check(ctx, check)
	if err != nil {
		t.Fatal(err)
	}
	out := new(v1.CheckResponse)
	if err := proto.Unmarshal(answer, out); err != nil {
		t.Fatal(err)
	}
	return out
}

// lines are the findings of an answer as "pack VERDICT text".
func lines(r *v1.CheckResponse) []string {
	var out []string
	for _, f := range r.Findings {
		out = append(out, fmt.Sprintf("%s %s %s", f.GetPack(), f.GetVerdict().String()[len("VERDICT_"):], f.GetSummary().GetText()))
	}
	return out
}
