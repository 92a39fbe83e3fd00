package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"time"

	"buf.build/go/protovalidate"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"slipfit.example/server/document"
)

// errStopping ends streams when the service stops.
var errStopping = stopping()

func stopping() error {
	st, err := status.New(codes.Unavailable, "the service is stopping; ask again what has not been answered").
		WithDetails(&errdetails.ErrorInfo{Reason: "STOPPING", Domain: document.Domain})
	if err != nil {
		panic(err) // a detail of a known type
	}
	return st.Err()
}

// recoverUnary turns a panic of a handler into an error of that one request.
func recoverUnary(log *slog.Logger) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, request any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (response any, err error) {
		defer func() {
			if broken := recover(); broken != nil {
				err = broke(log, info.FullMethod, broken)
			}
		}()
		return next(ctx, request)
	}
}

// recoverStream turns a panic of a handler into an error of that one stream.
func recoverStream(log *slog.Logger) grpc.StreamServerInterceptor {
	return func(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) (err error) {
		defer func() {
			if broken := recover(); broken != nil {
				err = broke(log, info.FullMethod, broken)
			}
		}()
		return next(srv, stream)
	}
}

func broke(log *slog.Logger, method string, broken any) error {
	log.Error("a request broke its handler", "method", method, "panic", fmt.Sprint(broken), "stack", string(debug.Stack()))
	return status.Error(codes.Internal, "the service broke over this request; it has been logged")
}

// boundDeadline gives every unary request a deadline, and none a longer one than
// the greatest.
func boundDeadline(usual, greatest time.Duration) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, request any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
		limit := usual
		if asked, ok := ctx.Deadline(); ok {
			limit = min(time.Until(asked), greatest)
		}
		ctx, cancel := context.WithTimeout(ctx, limit)
		defer cancel()
		return next(ctx, request)
	}
}

// validateUnary holds decoded requests against the contract's field rules. Raw
// ones are validated by their handler.
func validateUnary(ctx context.Context, request any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	m, ok := request.(proto.Message)
	if !ok {
		return next(ctx, request)
	}
	var invalid *protovalidate.ValidationError
	if err := protovalidate.Validate(m); errors.As(err, &invalid) {
		var violations []document.Violation
		for _, v := range invalid.Violations {
			violations = append(violations, document.Violation{
				Path: protovalidate.FieldPathString(v.Proto.GetField()), Reason: v.Proto.GetMessage(),
			})
		}
		return nil, document.Status(violations).Err()
	} else if err != nil {
		return nil, status.Error(codes.Internal, "the request could not be validated: "+err.Error())
	}
	return next(ctx, request)
}

// logUnary logs requests that end in an error of the service's own.
func logUnary(log *slog.Logger) grpc.UnaryServerInterceptor {
	return func(ctx context.Context, request any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
		start := time.Now()
		response, err := next(ctx, request)
		logEnd(ctx, log, info.FullMethod, start, err)
		return response, err
	}
}

// logStream does the same for streams.
func logStream(log *slog.Logger) grpc.StreamServerInterceptor {
	return func(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
		start := time.Now()
		err := next(srv, stream)
		logEnd(stream.Context(), log, info.FullMethod, start, err)
		return err
	}
}

func logEnd(ctx context.Context, log *slog.Logger, method string, start time.Time, err error) {
	level, attrs := slog.LevelDebug, []any{"method", method, "code", status.Code(err).String(), "seconds", time.Since(start).Seconds()}
	switch status.Code(err) {
	case codes.Internal, codes.Unknown, codes.DataLoss:
		// Other errors repeat what the caller wrote, which is nobody's business here.
		level, attrs = slog.LevelError, append(attrs, "error", err)
	}
	if log.Enabled(ctx, level) {
		log.Log(ctx, level, "request ended", attrs...)
	}
}
