package server_test

import (
	"errors"
	"io"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

// askMatrix sends a matrix and takes everything that comes.
func askMatrix(tb testing.TB, conn *grpc.ClientConn, plan *v1.MatrixPlan, columns, rows []*v1.Part) (got []*v1.MatrixResponse, err error) {
	tb.Helper()
	stream, err := v1.NewShortlistServiceClient(conn).Matrix(tb.Context())
	if err != nil {
		tb.Fatal(err)
	}
	go func() {
		_ = stream.Send(&v1.MatrixRequest{Content: &v1.MatrixRequest_Plan{Plan: plan}})
		for _, part := range columns {
			_ = stream.Send(&v1.MatrixRequest{Content: &v1.MatrixRequest_Column{Column: part}})
		}
		for _, part := range rows {
			_ = stream.Send(&v1.MatrixRequest{Content: &v1.MatrixRequest_Row{Row: part}})
		}
		_ = stream.CloseSend()
	}()
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return got, nil
		}
		if err != nil {
			return got, err
		}
		got = append(got, m)
	}
}

// TestMatrixIsThatOfCheckingEachPair compares every cell with checking the build with
// both parts.
func TestMatrixIsThatOfCheckingEachPair(t *testing.T) {
	conn := connect(t, start(t, server.Config{}))
	build := demoRequest(t).Build
	rows, columns := demoParts(t)["card"], demoParts(t)["air_cooler"]
	plan := &v1.MatrixPlan{Build: build, RowItem: proto.String("card"), ColumnItem: proto.String("cooler")}
	got, err := askMatrix(t, conn, plan, columns, rows)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(rows) {
		t.Fatalf("%d rows came, want %d", len(got), len(rows))
	}
	reference := newPlain(t, build, v1.ShortlistOrder_SHORTLIST_ORDER_MARGIN, "card", "cooler")
	verdicts := map[v1.Verdict]int{}
	for i, row := range got {
		if row.GetRow() != uint64(i) || row.GetId() != rows[i].GetId() || len(row.Cells) != len(columns) {
			t.Fatalf("row %d is row %d, %s, with %d cells", i, row.GetRow(), row.GetId(), len(row.Cells))
		}
		for k, c := range row.Cells {
			want := reference.judge(k, columns[k], reference.check(t, conn, build, rows[i], columns[k]))
			if c.GetPlace() != uint64(k) || c.GetVerdict() != want.verdict || !proto.Equal(c.Finding, want.finding) {
				t.Errorf("row %d, column %d: %v by %s, checking the pair says %v by %s",
					i, k, c.GetVerdict(), c.GetFinding().GetRule(), want.verdict, want.finding.GetRule())
			}
			verdicts[c.GetVerdict()]++
		}
	}
	if len(verdicts) < 2 {
		t.Errorf("all cells are %v; the demo parts are to come to several verdicts", verdicts)
	}
}

// Bad parts are refused in their row or column, and the rest goes on; a matrix that
// breaks its form is ended with words.
func TestMatrixRefusals(t *testing.T) {
	conn := connect(t, start(t, drillConfig()))
	check := plainCheck("two")
	second := proto.CloneOf(check.Build.Items[0])
	second.Id = proto.String("front-fan")
	check.Build.Items = append(check.Build.Items, second)
	plan := &v1.MatrixPlan{Build: check.Build, RowItem: proto.String("rear-fan"), ColumnItem: proto.String("front-fan")}
	bad := &v1.Part{Name: proto.String("nothing")}
	got, err := askMatrix(t, conn, plan, []*v1.Part{fan("a"), bad}, []*v1.Part{bad, fan("b")})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 2 || got[0].Refusal == nil || len(got[0].Cells) != 0 || len(got[1].Cells) != 2 ||
		got[1].Cells[0].GetVerdict() != v1.Verdict_VERDICT_PASS || got[1].Cells[1].Refusal == nil {
		t.Errorf("a bad row and a bad column are answered with %v", got)
	}
	for name, c := range map[string]struct {
		plan          *v1.MatrixPlan
		columns, rows []*v1.Part
		want          string
	}{
		"one item": {&v1.MatrixPlan{Build: check.Build, RowItem: proto.String("rear-fan"), ColumnItem: proto.String("rear-fan")}, nil, nil,
			"the document is not good: plan.column_item: rows and columns take the place of one and the same item; name two"},
	} {
		if _, err := askMatrix(t, conn, c.plan, c.columns, c.rows); status.Code(err) != codes.InvalidArgument || status.Convert(err).Message() != c.want {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}
