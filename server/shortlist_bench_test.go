package server_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/proto"

	"net"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/packs"
)

// BenchmarkMatrix measures pairs a second.
func BenchmarkMatrix(b *testing.B) {
	conn := dialDecoding(b)
	rows := newGenerator(b, 1).good(b, 40, "card")
	columns := newGenerator(b, 2).good(b, 50, "air_cooler")
	plan := &v1.MatrixPlan{Build: demoRequest(b).Build, RowItem: proto.String("card"), ColumnItem: proto.String("cooler")}
	for b.Loop() {
		if _, err := askMatrix(b, conn, plan, columns, rows); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*len(rows)*len(columns))/b.Elapsed().Seconds(), "pairs/s")
}

// benchCandidates is how many candidates one shortlist of the benchmark has.
const benchCandidates = 10_000

// BenchmarkShortlist measures, in one run and by role, candidates a second: a shortlist
// of generated candidates in each order, and checking each, one after the other and
// many at a time. The pairs of a matrix beside it. Clients are on loopback TCP in this
// process.
func BenchmarkShortlist(b *testing.B) {
	conn := dialDecoding(b)
	build := demoRequest(b).Build
	for n, role := range sought {
		parts := newGenerator(b, uint64(100+n)).good(b, benchCandidates, role.kinds...)
		for _, order := range []v1.ShortlistOrder{
			v1.ShortlistOrder_SHORTLIST_ORDER_MARGIN, v1.ShortlistOrder_SHORTLIST_ORDER_PRICE, v1.ShortlistOrder_SHORTLIST_ORDER_SOUND,
		} {
			by := strings.ToLower(strings.TrimPrefix(order.String(), "SHORTLIST_ORDER_"))
			b.Run(role.item+"/shortlist/"+by, func(b *testing.B) {
				var summary *v1.ShortlistSummary
				for b.Loop() {
					var err error
					plan := &v1.ShortlistPlan{Build: build, Item: &role.item, Order: order}
					if _, summary, err = shortlistMany(conn, plan, parts); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(b.N*len(parts))/b.Elapsed().Seconds(), "candidates/s")
				b.ReportMetric(float64(summary.GetSetAside()), "set-aside")
				b.ReportMetric(float64(summary.GetRuledOut()), "ruled-out")
			})
		}
		checks := checksOf(b, build, role.item, parts[:2000])
		raw := dialService(b)
		for _, callers := range []int{1, 16} {
			b.Run(fmt.Sprintf("%s/check-each/callers=%d", role.item, callers), func(b *testing.B) {
				next := make(chan []byte)
				go func() {
					for i := range b.N {
						next <- checks[i%len(checks)]
					}
				}()
				share(b, callers, func() error {
					check := <-next
					var answer []byte
					return raw.Invoke(context.Background(), v1.CheckService_Check_FullMethodName, &check, &answer)
				})
			})
		}
	}
}

func dialDecoding(tb testing.TB) *grpc.ClientConn {
	tb.Helper()
	s := start(tb, server.Config{PackOptions: packs.Options{NoTLS: os.Getenv("SLIPFIT_BENCH_TLS") == ""}})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		tb.Fatal(err)
	}
	go func() { _ = s.Serve(l) }()
	conn, err := grpc.NewClient(l.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { _ = conn.Close() })
	return conn
}

func checksOf(tb testing.TB, build *v1.Build, item string, parts []*v1.Part) (out [][]byte) {
	tb.Helper()
	for _, part := range parts {
		with := proto.CloneOf(build)
		for _, it := range with.Items {
			if it.GetId() == item {
				it.Part = part
			}
		}
		if part.GetChassis() != nil {
			with.Arrangement = nil
		}
		check, err := proto.Marshal(&v1.CheckRequest{Build: with})
		if err != nil {
			tb.Fatal(err)
		}
		out = append(out, check)
	}
	return out
}

// shortlistMany sends candidates and takes everything that comes.
func shortlistMany(conn *grpc.ClientConn, plan *v1.ShortlistPlan, parts []*v1.Part) (got []*v1.Candidate, summary *v1.ShortlistSummary, err error) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	stream, err := v1.NewShortlistServiceClient(conn).ShortlistMany(ctx)
	if err != nil {
		return nil, nil, err
	}
	sent := make(chan error, 1)
	go func() { sent <- sendCandidates(stream, plan, parts) }()
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return got, summary, <-sent
		}
		if err != nil {
			return nil, nil, err
		}
		if c := m.GetCandidate(); c != nil {
			got = append(got, c)
		}
		if s := m.GetSummary(); s != nil {
			summary = s
		}
	}
}

func sendCandidates(stream grpc.BidiStreamingClient[v1.ShortlistManyRequest, v1.ShortlistManyResponse], plan *v1.ShortlistPlan, parts []*v1.Part) error {
	if err := stream.Send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Plan{Plan: plan}}); err != nil {
		return err
	}
	for _, part := range parts {
		if err := stream.Send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Candidate{Candidate: part}}); err != nil {
			return err
		}
	}
	return stream.CloseSend()
}
