package slipfit

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/durationpb"

	v1 "slipfit.example/proto/slipfit/v1"
)

// service answers calls as a test wants, and keeps when and for which builds it was
// asked. Within synctest its time is the test's own.
type service struct {
	answer func(ctx context.Context, n int, check *v1.CheckRequest) (*v1.CheckResponse, error)

	mu     sync.Mutex
	times  []time.Time
	builds []string
	tenant []string
}

func (s *service) Invoke(ctx context.Context, _ string, question, answer any, _ ...grpc.CallOption) error {
	check := question.(*v1.CheckRequest)
	s.mu.Lock()
	n := len(s.times)
	s.times, s.builds = append(s.times, time.Now()), append(s.builds, check.GetBuild().GetId())
	if md, ok := metadata.FromOutgoingContext(ctx); ok {
		s.tenant = md.Get(tenantHeader)
	}
	s.mu.Unlock()
	got, err := s.answer(ctx, n, check)
	if err == nil {
		proto.Merge(answer.(*v1.CheckResponse), got)
	}
	return err
}

func (s *service) NewStream(context.Context, *grpc.StreamDesc, string, ...grpc.CallOption) (grpc.ClientStream, error) {
	return nil, errors.New("there are no streams here")
}

func (s *service) asked() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.builds)
}

func checkOf(id string) *v1.CheckRequest { return &v1.CheckRequest{Build: &v1.Build{Id: &id}} }

func answerOf(digest string) *v1.CheckResponse {
	return &v1.CheckResponse{Ruleset: &v1.Ruleset{Digest: &digest}}
}

func failing(code codes.Code, delay time.Duration) error {
	st := status.New(code, "not now")
	if delay > 0 {
		st, _ = st.WithDetails(&errdetails.RetryInfo{RetryDelay: durationpb.New(delay)})
	}
	return st.Err()
}

// Only what is safe and of use is asked again: how often, and when at the earliest.
func TestAskingAgain(t *testing.T) {
	for _, c := range []struct {
		name  string
		err   error
		calls int
		pause time.Duration
	}{
		{"not there", failing(codes.Unavailable, 0), 3, 0},
		{"too much to do, come again", failing(codes.ResourceExhausted, 300*time.Millisecond), 3, 300 * time.Millisecond},
		{"too large", failing(codes.ResourceExhausted, 0), 1, 0},
		{"bad", failing(codes.InvalidArgument, 0), 1, 0},
		{"broken", failing(codes.Internal, time.Second), 1, 0},
		{"too late", failing(codes.DeadlineExceeded, 0), 1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s := &service{answer: func(context.Context, int, *v1.CheckRequest) (*v1.CheckResponse, error) { return nil, c.err }}
				_, err := New(s, Options{Tenant: "us"}).Check(t.Context(), checkOf("a"))
				if status.Code(err) != status.Code(c.err) || len(s.times) != c.calls {
					t.Fatalf("asked %d times, want %d: %v", len(s.times), c.calls, err)
				}
				for i := 1; i < len(s.times); i++ {
					pause := s.times[i].Sub(s.times[i-1])
					if most := c.pause + firstPause<<(i-1); pause < c.pause || pause >= most {
						t.Errorf("pause %d is %v, want from %v to %v", i, pause, c.pause, most)
					}
				}
				if !slices.Equal(s.tenant, []string{"us"}) {
					t.Errorf("the tenant is %v", s.tenant)
				}
			})
		})
	}
}

func TestAnswerAfterFailure(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &service{answer: func(_ context.Context, n int, _ *v1.CheckRequest) (*v1.CheckResponse, error) {
			if n == 0 {
				return nil, failing(codes.Unavailable, 0)
			}
			return answerOf("d"), nil
		}}
		if answer, err := New(s, Options{}).Check(t.Context(), checkOf("a")); err != nil || answer.GetRuleset().GetDigest() != "d" {
			t.Errorf("got %v, %v", answer, err)
		}
	})
}

// A service that is down is not asked three times by every call for ever.
func TestBudgetOfRepetitions(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &service{answer: func(context.Context, int, *v1.CheckRequest) (*v1.CheckResponse, error) {
			return nil, failing(codes.Unavailable, 0)
		}}
		c := New(s, Options{})
		const calls = 100
		for range calls {
			_, _ = c.Check(t.Context(), checkOf("a"))
		}
		if n := len(s.times); n != calls+fullBudget {
			t.Errorf("%d calls have asked %d times, want %d", calls, n, calls+fullBudget)
		}
	})
}

func TestDeadlineByDefault(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &service{answer: func(ctx context.Context, _ int, _ *v1.CheckRequest) (*v1.CheckResponse, error) {
			<-ctx.Done()
			return nil, status.FromContextError(ctx.Err()).Err()
		}}
		start := time.Now()
		if _, err := New(s, Options{Timeout: 7 * time.Second}).Check(t.Context(), checkOf("a")); status.Code(err) != codes.DeadlineExceeded {
			t.Errorf("got %v", err)
		}
		if took := time.Since(start); took != 7*time.Second {
			t.Errorf("the call took %v", took)
		}
	})
}

func TestAnswersAreGivenAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		digest := "one"
		s := &service{answer: func(_ context.Context, _ int, check *v1.CheckRequest) (*v1.CheckResponse, error) {
			answer := answerOf(digest)
			if check.GetBuild().GetId() == "silent" {
				answer.Findings = []*v1.Finding{{Rule: proto.String("host.pack-answers")}}
			}
			return answer, nil
		}}
		c := New(s, Options{Fresh: time.Minute, Kept: 2})
		ask := func(id string, want int, why string) {
			t.Helper()
			if _, err := c.Check(t.Context(), checkOf(id)); err != nil {
				t.Fatal(err)
			}
			if n := len(s.asked()); n != want {
				t.Errorf("%s: asked %d times, want %d", why, n, want)
			}
		}
		ask("a", 1, "first")
		ask("a", 1, "the same")
		ask("b", 2, "another")
		ask("silent", 3, "a pack left something out")
		ask("silent", 4, "which is never kept")
		digest = "two"
		ask("c", 5, "the rules have changed")
		ask("b", 6, "and b's answer is of the old ones")
		ask("b", 6, "it is new now")
		time.Sleep(2 * time.Minute)
		ask("b", 7, "the rules may have changed since")
		ask("d", 8, "a third")
		ask("e", 9, "a fourth, so that b is dropped")
		ask("b", 10, "as it is")
		first, _ := c.Check(t.Context(), checkOf("b"))
		first.Ruleset.Digest = proto.String("mine")
		if second, _ := c.Check(t.Context(), checkOf("b")); second.GetRuleset().GetDigest() != "two" {
			t.Error("a caller has changed what others are given")
		}
	})
}

// A basket that changes quickly is asked for once, at its newest state; an answer that
// comes too late is not shown.
func TestBasket(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		given := make(chan string, 10)
		s := &service{answer: func(ctx context.Context, _ int, check *v1.CheckRequest) (*v1.CheckResponse, error) {
			select {
			case <-time.After(time.Second):
				return answerOf("d"), nil
			case <-ctx.Done():
				given <- "up " + check.GetBuild().GetId()
				return nil, status.FromContextError(ctx.Err()).Err()
			}
		}}
		var shown []string
		b := New(s, Options{}).Basket(t.Context(), 100*time.Millisecond, func(check *v1.CheckRequest, _ *v1.CheckResponse, err error) {
			if err != nil {
				t.Errorf("%s: %v", check.GetBuild().GetId(), err)
			}
			shown = append(shown, check.GetBuild().GetId())
		})
		for _, id := range []string{"a", "b", "c"} {
			b.Ask(checkOf(id))
			time.Sleep(50 * time.Millisecond)
		}
		time.Sleep(500 * time.Millisecond) // c is on its way
		b.Ask(checkOf("d"))
		time.Sleep(5 * time.Second)
		b.Ask(checkOf("e"))
		time.Sleep(500 * time.Millisecond)
		b.Close()
		b.Ask(checkOf("f"))
		time.Sleep(5 * time.Second)
		if want := []string{"c", "d", "e"}; !slices.Equal(s.asked(), want) {
			t.Errorf("asked for %v, want %v", s.asked(), want)
		}
		if want := []string{"d"}; !slices.Equal(shown, want) {
			t.Errorf("shown are %v, want %v", shown, want)
		}
		if up := []string{<-given, <-given}; !slices.Equal(up, []string{"up c", "up e"}) {
			t.Errorf("given up are %v", up)
		}
	})
}

func TestDialRefusesPlainTextToOthers(t *testing.T) {
	for target, fine := range map[string]bool{
		"127.0.0.1:7480": true, "[::1]:7480": true, "localhost:7480": true,
		"shop.example:7480": false, "192.0.2.1:7480": false, "dns:///127.0.0.1:1": false,
	} {
		c, err := Dial(target, Options{})
		if (err == nil) != fine {
			t.Errorf("%s: %v", target, err)
		}
		if err == nil {
			_ = c.Close()
		}
	}
	c, err := Dial("shop.example:7480", Options{Plaintext: true})
	if err != nil {
		t.Fatal(err)
	}
	_ = c.Close()
	if _, err := New(&service{}, Options{}).Check(t.Context(), &v1.CheckRequest{}); err == nil {
		t.Error("a check without a build is asked")
	}
}
