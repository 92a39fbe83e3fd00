package gateway_test

import (
	"errors"
	"io"
	"net/http"
	"strings"
	"testing"

	"connectrpc.com/connect"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/gateway"
)

// client asks methods by one protocol.
type client struct {
	http    *http.Client
	url     string
	options []connect.ClientOption
}

// h2c speaks HTTP/2 without TLS, which streams in both directions need.
func h2c() *http.Client {
	protocols := new(http.Protocols)
	protocols.SetUnencryptedHTTP2(true)
	return &http.Client{Transport: &http.Transport{Protocols: protocols}}
}

func dialOf[Q, A any](c client, method string) *connect.Client[Q, A] {
	return connect.NewClient[Q, A](c.http, c.url+method, c.options...)
}

func unaryOf[Q, A any](t *testing.T, c client, method string, question *Q) *A {
	t.Helper()
	answer, err := dialOf[Q, A](c, method).CallUnary(t.Context(), connect.NewRequest(question))
	if err != nil {
		t.Fatalf("%s: %v", method, err)
	}
	return answer.Msg
}

func streamOf[Q, A any](t *testing.T, c client, method string, questions ...*Q) (answers []*A) {
	t.Helper()
	stream := dialOf[Q, A](c, method).CallBidiStream(t.Context())
	for _, question := range questions {
		if err := stream.Send(question); err != nil {
			t.Fatalf("%s: %v", method, err)
		}
	}
	if err := stream.CloseRequest(); err != nil {
		t.Fatalf("%s: %v", method, err)
	}
	for {
		answer, err := stream.Receive()
		if errors.Is(err, io.EOF) {
			return answers
		}
		if err != nil {
			t.Fatalf("%s: %v", method, err)
		}
		answers = append(answers, answer)
	}
}

// Clients of Connect, gRPC-Web and gRPC complete every method, in both encodings.
func TestEveryMethodByEveryProtocol(t *testing.T) {
	t.Parallel()
	url := face(t, common.service(t), gateway.Config{})
	for name, options := range map[string][]connect.ClientOption{
		"Connect": nil, "Connect, JSON": {connect.WithProtoJSON()}, "Connect, gzip": {connect.WithSendGzip()},
		"gRPC-Web": {connect.WithGRPCWeb()}, "gRPC-Web, JSON": {connect.WithGRPCWeb(), connect.WithProtoJSON()}, "gRPC": {connect.WithGRPC()},
		"Connect, GET": {connect.WithHTTPGet(), connect.WithHTTPGetMaxURLSize(32<<10, true), connect.WithSendGzip(), connect.WithIdempotency(connect.IdempotencyNoSideEffects)},
	} {
		t.Run(name, func(t *testing.T) { everyMethod(t, client{h2c(), url, options}) })
	}
}

func everyMethod(t *testing.T, c client) {
	check := demoCheck(t)
	answer := unaryOf[v1.CheckRequest, v1.CheckResponse](t, c, v1.CheckService_Check_FullMethodName, check)
	if answer.GetBuildId() != check.Build.GetId() || len(answer.Findings) == 0 {
		t.Errorf("Check answers %.200v", answer)
	}
	list := unaryOf[v1.ListPacksRequest, v1.ListPacksResponse](t, c, v1.PackService_ListPacks_FullMethodName, &v1.ListPacksRequest{})
	rule := unaryOf[v1.DescribeRuleRequest, v1.DescribeRuleResponse](t, c, v1.PackService_DescribeRule_FullMethodName, &v1.DescribeRuleRequest{Rule: &list.Packs[0].Rules[0]})
	if rule.GetRule().GetId() != list.Packs[0].Rules[0] {
		t.Errorf("DescribeRule answers %v", rule)
	}
	if sheet := unaryOf[v1.MakeSheetRequest, v1.MakeSheetResponse](t, c, v1.SheetService_MakeSheet_FullMethodName, &v1.MakeSheetRequest{Check: check}); sheet.GetHtml() == "" {
		t.Error("MakeSheet answers nothing")
	}
	part := &v1.Part{Id: proto.String("low"), Name: proto.String("Low"), Kind: &v1.Part_AirCooler{AirCooler: &v1.AirCooler{HeightMm: proto.Float64(20)}}}
	plan := &v1.ShortlistPlan{Build: check.Build, Item: proto.String("cooler")}
	short := unaryOf[v1.ShortlistRequest, v1.ShortlistResponse](t, c, v1.ShortlistService_Shortlist_FullMethodName, &v1.ShortlistRequest{Plan: plan, Candidates: []*v1.Part{part}})
	if short.GetSummary().GetCandidates() != 1 {
		t.Errorf("Shortlist answers %v", short)
	}
	var notFound *connect.Error
	_, err := dialOf[v1.DescribeRuleRequest, v1.DescribeRuleResponse](c, v1.PackService_DescribeRule_FullMethodName).
		CallUnary(t.Context(), connect.NewRequest(&v1.DescribeRuleRequest{Rule: proto.String("no.such-rule")}))
	if !errors.As(err, &notFound) || notFound.Code() != connect.CodeNotFound || len(notFound.Details()) != 1 {
		t.Errorf("an unknown rule is %v", err)
	}
	everyStream(t, c, check, plan, part)
}

func everyStream(t *testing.T, c client, check *v1.CheckRequest, plan *v1.ShortlistPlan, part *v1.Part) {
	many := streamOf[v1.CheckManyRequest, v1.CheckManyResponse](t, c, v1.CheckService_CheckMany_FullMethodName,
		&v1.CheckManyRequest{Tag: proto.String("a"), Check: check}, &v1.CheckManyRequest{Tag: proto.String("b"), Check: &v1.CheckRequest{}})
	if len(many) != 2 {
		t.Errorf("CheckMany answers %d of 2", len(many))
	}
	short := streamOf[v1.ShortlistManyRequest, v1.ShortlistManyResponse](t, c, v1.ShortlistService_ShortlistMany_FullMethodName,
		&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Plan{Plan: plan}},
		&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Candidate{Candidate: part}})
	if len(short) == 0 || short[len(short)-1].GetSummary().GetCandidates() != 1 {
		t.Errorf("ShortlistMany answers %v", short)
	}
	rows := streamOf[v1.MatrixRequest, v1.MatrixResponse](t, c, v1.ShortlistService_Matrix_FullMethodName,
		&v1.MatrixRequest{Content: &v1.MatrixRequest_Plan{Plan: &v1.MatrixPlan{Build: check.Build, RowItem: proto.String("cooler"), ColumnItem: proto.String("other")}}},
		&v1.MatrixRequest{Content: &v1.MatrixRequest_Column{Column: part}}, &v1.MatrixRequest{Content: &v1.MatrixRequest_Row{Row: part}})
	if len(rows) != 1 {
		t.Errorf("Matrix answers %d rows of 1", len(rows))
	}
	side := &v1.TrialRuleset{}
	trial := streamOf[v1.RunTrialRequest, v1.RunTrialResponse](t, c, v1.TrialService_RunTrial_FullMethodName,
		&v1.RunTrialRequest{Content: &v1.RunTrialRequest_Plan{Plan: &v1.TrialPlan{Baseline: side, Candidate: side}}},
		&v1.RunTrialRequest{Content: &v1.RunTrialRequest_Build{Build: &v1.TrialBuild{Build: check.Build}}})
	if len(trial) == 0 || trial[len(trial)-1].GetSummary().GetBuilds() != 1 {
		t.Errorf("RunTrial answers %v", trial)
	}
}

// A misspelt field is refused by Connect's JSON too, by its path.
func TestConnectRefusesUnknownFields(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	for _, path := range []string{
		"/slipfit.v1.CheckService/Check",
		"GET /slipfit.v1.CheckService/Check?connect=v1&encoding=json&message=" + `%7B%22build%22:%7B%22itemz%22:1%7D%7D`,
	} {
		got := asked{}
		if path, ok := strings.CutPrefix(path, "GET "); ok {
			got = ask(t, h, "GET", path, nil)
		} else {
			got = post(t, h, path, []byte(`{"build":{"itemz":1}}`))
		}
		if got.status != 400 || !strings.Contains(string(got.body), `"invalid_argument"`) || !strings.Contains(string(got.body), "itemz") {
			t.Errorf("%s is answered by %d %s", path, got.status, got.body)
		}
	}
}

// Overload and bad documents reach clients of Connect with their details.
func TestConnectErrorsHaveDetails(t *testing.T) {
	t.Parallel()
	url := face(t, common.service(t), gateway.Config{})
	for name, options := range map[string][]connect.ClientOption{"Connect": nil, "gRPC-Web": {connect.WithGRPCWeb()}} {
		c := client{h2c(), url, options}
		_, err := dialOf[v1.CheckRequest, v1.CheckResponse](c, v1.CheckService_Check_FullMethodName).
			CallUnary(t.Context(), connect.NewRequest(&v1.CheckRequest{Build: &v1.Build{Id: proto.String("NO ID")}}))
		var bad *connect.Error
		if !errors.As(err, &bad) || bad.Code() != connect.CodeInvalidArgument {
			t.Fatalf("%s: %v", name, err)
		}
		found := false
		for _, detail := range bad.Details() {
			value, err := detail.Value()
			if violations, ok := value.(*errdetails.BadRequest); ok && err == nil {
				found = violations.FieldViolations[0].GetField() == "build.id"
			}
		}
		if !found {
			t.Errorf("%s: no violation at build.id: %v", name, bad.Details())
		}
	}
}

func TestOriginsThatMayAsk(t *testing.T) {
	t.Parallel()
	s := common.service(t)
	asks := []string{"Access-Control-Request-Method", "POST", "Access-Control-Request-Headers", "content-type,if-none-match"}
	for _, c := range []struct {
		origins []string
		origin  string
		allowed bool
	}{
		{nil, "https://shop.example", false},
		{[]string{"https://shop.example"}, "https://shop.example", true},
		{[]string{"https://shop.example"}, "https://shop.example.evil.example", false},
		{[]string{"https://shop.example"}, "http://shop.example", false},
		{[]string{"https://shop.example"}, "null", false},
		{[]string{"https://*.shop.example"}, "https://a.shop.example", true},
	} {
		h := direct(t, s, gateway.Config{Origins: c.origins})
		flight := ask(t, h, "OPTIONS", "/v1/check", nil, append(asks, "Origin", c.origin)...)
		answer := ask(t, h, "GET", "/v1/packs", nil, "Origin", c.origin)
		for name, got := range map[string]asked{"preflight": flight, "answer": answer} {
			allowed := got.header.Get("Access-Control-Allow-Origin") == c.origin
			if allowed != c.allowed || got.header.Get("Access-Control-Allow-Credentials") != "" {
				t.Errorf("%v, %s of %s: %v", c.origins, name, c.origin, got.header)
			}
		}
		if exposed := answer.header.Get("Access-Control-Expose-Headers"); c.allowed && !strings.Contains(strings.ToLower(exposed), "etag") {
			t.Errorf("pages cannot read the ETag: %q", exposed)
		}
	}
	for _, origin := range []string{"shop.example", "https://shop.example/", "*", "https://a b", "ftp://shop.example", "https://*.*.example", "https://x; script-src *"} {
		if _, err := gateway.New(s, gateway.Config{Origins: []string{origin}}); err == nil {
			t.Errorf("%q is taken for an origin", origin)
		}
	}
}
