package server

import (
	"context"
	"errors"
	"io"
	"slices"
	"strconv"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/shortlist"
)

// table is a matrix that is being worked at.
type table struct {
	service     *shortlists
	stream      grpc.ServerStream
	row, column shortlist.Place
	baseline    *pipeline.Baseline
	columns     []shortlist.Entry
}

// run takes columns, then answers each row as it comes.
func (t *table) run(ctx context.Context, next incoming) error {
	for rows := uint64(0); ; {
		number, value, err := next(ctx)
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return err
		case number == matrixColumn && rows == 0:
			if len(t.columns) == mostColumns {
				return status.Error(codes.InvalidArgument, "a matrix may have "+strconv.Itoa(mostColumns)+" columns; ask for the others in a matrix of their own")
			}
			t.columns = append(t.columns, shortlist.Read(t.service.validator, uint64(len(t.columns)), value))
		case number == matrixRow:
			if err := t.answer(ctx, rows, value); err != nil {
				return err
			}
			rows++
		default:
			return status.Error(codes.InvalidArgument, "after its plan a matrix takes its columns, then its rows, and nothing else")
		}
	}
}

// answer judges one row's part with every column's.
func (t *table) answer(ctx context.Context, place uint64, part []byte) error {
	row := shortlist.Read(t.service.validator, place, part)
	head := func() *v1.MatrixResponse {
		out := &v1.MatrixResponse{Row: &place}
		if row.ID != "" {
			out.Id = &row.ID
		}
		if row.Name != "" {
			out.Name = &row.Name
		}
		return out
	}
	if row.Refusal != nil {
		out := head()
		out.Refusal = row.Refusal
		return t.stream.SendMsg(out)
	}
	decoded := new(v1.Part)
	if err := decoded.UnmarshalVT(part); err != nil {
		return status.Error(codes.Internal, "a part that was found good cannot be read: "+err.Error())
	}
	slate, err := t.column.With(t.row, decoded).Slate(t.baseline, t.row)
	if err != nil {
		return err
	}
	sent := false
	for columns := range slices.Chunk(t.columns, cellsTogether) {
		out := head()
		if out.Cells, err = shortlist.Settle(ctx, slate, columns, t.service.enter); err != nil {
			return err
		}
		if err := t.stream.SendMsg(out); err != nil {
			return err
		}
		sent = true
	}
	if sent {
		return nil
	}
	return t.stream.SendMsg(head())
}
