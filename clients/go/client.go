// Package slipfit asks a slipfit service from a program in Go: a shop's backend, a
// catalogue's import.
//
// Every call has a deadline. Calls change nothing, so they are asked again where the
// service was not there or had too much to do, a bounded number of times; nothing else
// is. [Client.Basket] follows a visitor's basket and answers for its newest state
// alone. [Client.CheckMany] and [Client.ShortlistMany] are streams.
package slipfit

import (
	"context"
	"errors"
	"fmt"
	"net"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/metadata"

	v1 "slipfit.example/proto/slipfit/v1"
)

// tenantHeader is the metadata by which the service finds a tenant's policy.
const tenantHeader = "slipfit-tenant"

// Options say how the service is asked. The zero value is usable.
type Options struct {
	// Timeout is how long a call may take, attempts and pauses together, where its
	// context brings no deadline. Zero: 5 s. Streams have none but their context's.
	Timeout time.Duration
	// Attempts is how often a call is made at most. Zero: 3. One: nothing is asked
	// again.
	Attempts int
	// Tenant is whose policy holds. Empty: that of everybody.
	Tenant string
	// Fresh is how long after the ruleset was last seen an answer that is at hand is
	// given again without asking: an answer is given again at most so long after the
	// service's rules have changed. Zero: every question is asked.
	Fresh time.Duration
	// Kept is how many answers are kept for that. Zero: 256.
	Kept int
	// Credentials secure the connection of Dial. Nil: it is in plain text, which is
	// refused to other machines unless Plaintext is set.
	Credentials credentials.TransportCredentials
	// Plaintext allows a connection of Dial in plain text to another machine, for
	// networks that are secured otherwise.
	Plaintext bool
	// DialOptions are added to those of Dial.
	DialOptions []grpc.DialOption
}

// Client asks one service. It is safe for use by several goroutines.
type Client struct {
	options Options
	check   v1.CheckServiceClient
	short   v1.ShortlistServiceClient
	sheet   v1.SheetServiceClient
	packs   v1.PackServiceClient
	budget  budget
	kept    *answers
	close   func() error
}

// New asks over a connection that the caller keeps.
func New(conn grpc.ClientConnInterface, o Options) *Client {
	if o.Timeout <= 0 {
		o.Timeout = 5 * time.Second
	}
	if o.Attempts <= 0 {
		o.Attempts = 3
	}
	if o.Kept <= 0 {
		o.Kept = 256
	}
	c := &Client{
		options: o, check: v1.NewCheckServiceClient(conn), short: v1.NewShortlistServiceClient(conn),
		sheet: v1.NewSheetServiceClient(conn), packs: v1.NewPackServiceClient(conn),
		budget: newBudget(), close: func() error { return nil },
	}
	if o.Fresh > 0 {
		c.kept = newAnswers(o.Kept, o.Fresh)
	}
	return c
}

// answerBytes is the greatest answer that is taken, as the service sends at most.
const answerBytes = 8 << 20

// Dial connects to a service at HOST:PORT, or at any other target of gRPC. It does not
// wait for it: a service that is not there yet is found by the first call. The error
// says why nothing can ever be found.
func Dial(target string, o Options) (*Client, error) {
	secure := o.Credentials
	if secure == nil {
		if !o.Plaintext && !loopback(target) {
			return nil, fmt.Errorf("%s may be another machine, and the connection would be in plain text; set Credentials, or Plaintext where the network is secured otherwise", target)
		}
		secure = insecure.NewCredentials()
	}
	options := append([]grpc.DialOption{
		grpc.WithTransportCredentials(secure),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(answerBytes)),
		grpc.WithKeepaliveParams(keepalive.ClientParameters{Time: time.Minute, Timeout: 10 * time.Second}),
	}, o.DialOptions...)
	conn, err := grpc.NewClient(target, options...)
	if err != nil {
		return nil, fmt.Errorf("the service at %s cannot be asked: %w", target, err)
	}
	c := New(conn, o)
	c.close = conn.Close
	return c, nil
}

// loopback tells whether a target is this machine by its address alone.
func loopback(target string) bool {
	host, _, err := net.SplitHostPort(target)
	if err != nil {
		return false
	}
	return host == "localhost" || net.ParseIP(host).IsLoopback()
}

// Close ends a connection of Dial. Calls that are on their way fail.
func (c *Client) Close() error { return c.close() }

// Check answers for one build. A bad document is an error for which [Refused] gives
// the violations.
func (c *Client) Check(ctx context.Context, check *v1.CheckRequest) (*v1.CheckResponse, error) {
	question, err := c.kept.find(check)
	if err != nil || question.answer != nil {
		return question.answer, err
	}
	answer, err := call(ctx, c, func(ctx context.Context) (*v1.CheckResponse, error) { return c.check.Check(ctx, check) })
	if err != nil {
		return nil, fmt.Errorf("the build %q has not been checked: %w", check.GetBuild().GetId(), err)
	}
	c.kept.keep(question, answer)
	return answer, nil
}

// Shortlist tells which of at most 1000 candidates, or of the service's catalogue, fit
// a build.
func (c *Client) Shortlist(ctx context.Context, request *v1.ShortlistRequest) (*v1.ShortlistResponse, error) {
	answer, err := call(ctx, c, func(ctx context.Context) (*v1.ShortlistResponse, error) { return c.short.Shortlist(ctx, request) })
	if err != nil {
		return nil, fmt.Errorf("the shortlist for %q has not been made: %w", request.GetPlan().GetItem(), err)
	}
	return answer, nil
}

// Sheet makes the printable record of a build, one page of HTML.
func (c *Client) Sheet(ctx context.Context, request *v1.MakeSheetRequest) (*v1.MakeSheetResponse, error) {
	answer, err := call(ctx, c, func(ctx context.Context) (*v1.MakeSheetResponse, error) { return c.sheet.MakeSheet(ctx, request) })
	if err != nil {
		return nil, fmt.Errorf("the sheet of %q has not been made: %w", request.GetCheck().GetBuild().GetId(), err)
	}
	return answer, nil
}

// Packs tells which packs serve, and the digest of the ruleset.
func (c *Client) Packs(ctx context.Context) (*v1.ListPacksResponse, error) {
	answer, err := call(ctx, c, func(ctx context.Context) (*v1.ListPacksResponse, error) {
		return c.packs.ListPacks(ctx, &v1.ListPacksRequest{})
	})
	if err != nil {
		return nil, fmt.Errorf("the packs have not been listed: %w", err)
	}
	return answer, nil
}

// as gives a call's context the tenant.
func (c *Client) as(ctx context.Context) context.Context {
	if c.options.Tenant == "" {
		return ctx
	}
	return metadata.AppendToOutgoingContext(ctx, tenantHeader, c.options.Tenant)
}

// errNoQuestion is the error of a check without a build.
var errNoQuestion = errors.New("there is no build to check; set CheckRequest.build")
