// Package server is the service: it keeps the packs, takes checks through them,
// and serves slipfit.v1 over gRPC with health, reflection, metrics and limits.
package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"
	"golang.org/x/net/netutil"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/health"
	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/reflection"
	"google.golang.org/grpc/test/bufconn"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/catalogue"
	"slipfit.example/server/document"
	"slipfit.example/server/packs"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/policy"
	"slipfit.example/server/shelf"
)

// Config says how the service runs. The zero value of every field but Packs is
// usable.
type Config struct {
	// Packs are the packs to keep.
	Packs []packs.Launch
	// PackOptions say how they are kept.
	PackOptions packs.Options
	// Log receives what happens. Nil: slog.Default.
	Log *slog.Logger
	// PackTimeout is how long one pack may take for one check. Zero: 2 s.
	PackTimeout time.Duration
	// Deadline holds for requests that bring none, and GreatestDeadline for those
	// that bring a longer one. Zero: 10 s and 60 s.
	Deadline, GreatestDeadline time.Duration
	// Checks is how many checks may be on their way at once. Zero: 1024.
	Checks int
	// Connections is how many clients may be connected at once. Zero: 1024.
	Connections int
	// StreamsPerConnection is how many requests one connection may have open. Zero: 128.
	StreamsPerConnection uint32
	// Reflection serves the contract to tools that ask for it.
	Reflection bool
	// Tenants are policies for everybody and for each tenant, which a request names
	// in its metadata under TenantHeader. Nil: the rules' defaults hold.
	Tenants *policy.Tenants
	// InlineHouse lets requests bring house rules of their own.
	InlineHouse bool
	// Catalogue is a folder of part files that shortlists draw on. Empty: there is none.
	// A state of it that is bad at start is an error.
	Catalogue string
	// CataloguePeriod is how often it is looked at. Zero: 2 s.
	CataloguePeriod time.Duration
	// Sheet makes printable records. The zero value makes none.
	Sheet SheetMaker
	// Shelf is the folder of external packs. Nil: there is none.
	Shelf *shelf.Folder
	// ShelfPeriod is how often it is looked at. Zero: 2 s.
	ShelfPeriod time.Duration
	// Shadow is a candidate ruleset that judges a share of the checks besides. Nil: none.
	Shadow *Shadow
}

func (c *Config) setDefaults() {
	if c.Log == nil {
		c.Log = slog.Default()
	}
	if c.PackOptions.Logger == nil {
		c.PackOptions.Logger = c.Log
	}
	if c.Deadline <= 0 {
		c.Deadline = 10 * time.Second
	}
	if c.GreatestDeadline <= 0 {
		c.GreatestDeadline = time.Minute
	}
	if c.Checks <= 0 {
		c.Checks = 1024
	}
	if c.Connections <= 0 {
		c.Connections = 1024
	}
	if c.ShelfPeriod <= 0 {
		c.ShelfPeriod = 2 * time.Second
	}
	if c.CataloguePeriod <= 0 {
		c.CataloguePeriod = 2 * time.Second
	}
	if c.StreamsPerConnection == 0 {
		c.StreamsPerConnection = 128
	}
}

// Limits of the transport, beside those of documents.
const (
	// questionBytes leaves room above what a document may have, so that one which
	// is somewhat too long is told so in words, and does not end a stream.
	questionBytes    = 2 * document.MaxEncoded
	headerBytes      = 16 << 10
	handshakeSeconds = 10
	answerBytes      = 8 << 20
)

// Server is the running service.
type Server struct {
	config     Config
	supervisor *packs.Supervisor
	shelf      *shelfKeeper // nil: there is no folder of packs
	pipeline   *pipeline.Pipeline
	shadow     *shadowHost // nil: there is no candidate
	metrics    *metrics
	health     *health.Server
	telling    sync.Mutex // held while the state of packs is told to health
	grpc       *grpc.Server
	transcoded *grpc.Server // for other faces; it never listens
	methods    methods
	checks     *checks
	unary      grpc.UnaryServerInterceptor
	stream     grpc.StreamServerInterceptor
	ends       []func(context.Context) // of other faces
	stopping   context.Context
	stop       context.CancelFunc
	running    sync.WaitGroup
	stopOnce   sync.Once
	stopErr    error
}

// Start starts the packs and makes the service ready to Serve. Packs that do not
// come up leave their rules UNKNOWN; only a set of packs that cannot work together,
// or none at all, is an error.
func Start(ctx context.Context, config Config) (*Server, error) {
	config.setDefaults()
	s := &Server{config: config, metrics: newMetrics(), health: health.NewServer()}
	s.stopping, s.stop = context.WithCancel(context.Background())
	s.countPacks()
	validator, err := document.New()
	if err != nil {
		return nil, fmt.Errorf("the field rules of the contract cannot be used: %w", err)
	}
	parts, err := s.openCatalogue(validator)
	if err != nil {
		return nil, err
	}
	s.supervisor, err = packs.Start(ctx, config.Packs, s.config.PackOptions)
	if err != nil {
		return nil, fmt.Errorf("the packs cannot be started: %w", err)
	}
	var sources []pipeline.Source
	for _, p := range s.supervisor.Packs() {
		sources = append(sources, packSource{pack: p})
	}
	s.pipeline, err = pipeline.Start(sources, pipeline.Options{
		Timeout: config.PackTimeout, Watch: s.metrics, InlineHouse: config.InlineHouse,
	})
	if err != nil {
		return nil, errors.Join(err, s.supervisor.Stop(ctx))
	}
	s.watchHealth(s.stopping)
	s.keepShelf(ctx)
	if parts != nil {
		s.running.Go(func() { parts.Keep(s.stopping, s.config.CataloguePeriod) })
	}
	tenants, err := newTenants(config.Tenants, s.pipeline)
	if err != nil {
		s.stop()
		s.running.Wait()
		s.pipeline.Stop()
		return nil, errors.Join(err, s.supervisor.Stop(ctx))
	}
	gate := newGate(config.Checks)
	s.metrics.watchState(gate, s.eachPack, s.shelf)
	if s.shadow, err = s.startShadow(ctx, gate); err != nil {
		s.stop()
		s.running.Wait()
		s.pipeline.Stop()
		return nil, errors.Join(err, s.supervisor.Stop(ctx))
	}
	if s.shadow != nil {
		s.metrics.registry.MustRegister(shadowCollector{s.shadow})
	}
	s.intercept()
	s.grpc, s.transcoded = s.newGRPC(), s.newGRPC()
	s.methods = methods{map[string]unaryMethod{}, map[string]streamMethod{}}
	s.checks = &checks{validator, s.pipeline, gate, tenants, s.shadow, s.stopping}
	s.service(checkServiceDesc(), s.checks)
	if config.Sheet.Make != nil {
		s.service(sheetServiceDesc(), &sheets{s.checks, config.Sheet})
	}
	s.service(trialServiceDesc(), &trials{validator: validator, pipeline: s.pipeline, gate: gate, tenants: tenants, stopping: s.stopping})
	s.service(shortlistServiceDesc(), &shortlists{
		validator: validator, pipeline: s.pipeline, gate: gate, tenants: tenants, catalogue: parts, stopping: s.stopping,
	})
	s.service(&v1.PackService_ServiceDesc, &packService{pipeline: s.pipeline, shelf: s.shelf, stopping: s.stopping})
	grpc_health_v1.RegisterHealthServer(s.grpc, s.health)
	if config.Reflection {
		reflection.Register(s.grpc)
	}
	return s, nil
}

// keepShelf takes the external packs in, and goes on looking at their folder. A
// folder that is refused is told, and no reason not to serve.
func (s *Server) keepShelf(ctx context.Context) {
	if s.config.Shelf == nil {
		return
	}
	s.shelf = &shelfKeeper{
		folder: s.config.Shelf, supervisor: s.supervisor, pipeline: s.pipeline, attend: s.attend, aside: s.running.Go,
		period: s.config.ShelfPeriod, log: s.config.Log,
	}
	if s.config.Shelf.AllowUnsigned {
		s.config.Log.Warn("packs that nobody has signed may run here; this is for development", "folder", s.config.Shelf.Path)
	}
	_ = s.shelf.activate(ctx)
	s.running.Go(func() { s.shelf.keep(s.stopping) })
}

// openCatalogue reads the parts that shortlists draw on; nil where there are none.
func (s *Server) openCatalogue(validator *document.Validator) (*catalogue.Catalogue, error) {
	if s.config.Catalogue == "" {
		return nil, nil
	}
	return catalogue.Open(s.config.Catalogue, validator, s.config.Log)
}

// intercept puts together what every request passes.
func (s *Server) intercept() {
	log := s.config.Log
	s.unary = chainUnary(
		s.metrics.unary, logUnary(log), recoverUnary(log),
		boundDeadline(s.config.Deadline, s.config.GreatestDeadline), validateUnary)
	s.stream = chainStream(s.metrics.stream, logStream(log), recoverStream(log), s.endWatches)
}

func (s *Server) newGRPC() *grpc.Server {
	return grpc.NewServer(
		grpc.ForceServerCodecV2(newCodec()),
		grpc.MaxRecvMsgSize(questionBytes),
		grpc.MaxSendMsgSize(answerBytes),
		grpc.MaxHeaderListSize(headerBytes),
		grpc.MaxConcurrentStreams(s.config.StreamsPerConnection),
		grpc.ConnectionTimeout(handshakeSeconds*time.Second),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 20 * time.Second, PermitWithoutStream: true}),
		grpc.KeepaliveParams(keepalive.ServerParameters{
			MaxConnectionIdle: 15 * time.Minute, MaxConnectionAge: time.Hour, MaxConnectionAgeGrace: time.Minute,
			Time: time.Minute, Timeout: 20 * time.Second,
		}),
		grpc.UnaryInterceptor(s.unary),
		grpc.StreamInterceptor(s.stream),
	)
}

// Serve answers on a listener until Stop. It returns nil after Stop.
func (s *Server) Serve(l net.Listener) error {
	err := s.grpc.Serve(netutil.LimitListener(l, s.config.Connections))
	if errors.Is(err, grpc.ErrServerStopped) {
		return nil
	}
	return err
}

// Connect returns a connection to the service within this process. The caller
// closes it.
func (s *Server) Connect() (*grpc.ClientConn, error) {
	listener := bufconn.Listen(1 << 20)
	s.running.Go(func() { _ = s.grpc.Serve(listener) })
	return grpc.NewClient("passthrough:in-process",
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return listener.DialContext(ctx) }),
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(answerBytes)))
}

// Operations serves metrics at /metrics, the state of the process and of the packs at
// /alive and /ready, and what a candidate has come to at /shadow, for the people and
// machines that keep the service.
func (s *Server) Operations() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(s.metrics.registry, promhttp.HandlerOpts{}))
	mux.HandleFunc("GET /alive", func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte("alive\n")) })
	mux.HandleFunc("GET /shadow", s.shadow.serveReport)
	mux.HandleFunc("GET /ready", func(w http.ResponseWriter, _ *http.Request) {
		if s.stopping.Err() != nil {
			http.Error(w, "the service is stopping", http.StatusServiceUnavailable)
			return
		}
		if !s.supervisor.Ready() {
			http.Error(w, "not every pack serves", http.StatusServiceUnavailable)
			return
		}
		_, _ = w.Write([]byte("ready\n"))
	})
	return mux
}

// Stop says NOT_SERVING, lets requests on their way end until ctx does, and leaves
// no pack behind. Open streams get what they have asked answered and end then with
// UNAVAILABLE. Every call returns the same.
func (s *Server) Stop(ctx context.Context) error {
	s.stopOnce.Do(func() {
		s.health.Shutdown()
		s.stop()
		s.endFaces(ctx)
		s.pipeline.Stop()
		s.running.Wait()
		killing, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
		defer cancel()
		s.stopErr = errors.Join(s.supervisor.Stop(killing), s.shadow.stop(killing))
	})
	return s.stopErr
}
