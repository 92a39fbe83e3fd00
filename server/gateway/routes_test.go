package gateway_test

import (
	"bytes"
	"encoding/json"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"slipfit.example/proto/openapi"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/gateway"
)

// problem is what the tests read of application/problem+json.
type problem struct {
	Title, Detail, Code, Reason string
	Status                      int
	Violations                  []struct{ Path, Reason string }
}

func problemIn(t *testing.T, got asked) (p problem) {
	t.Helper()
	if media := got.header.Get("Content-Type"); media != "application/problem+json" {
		t.Fatalf("a refusal comes as %q: %s", media, got.body)
	}
	if err := json.Unmarshal(got.body, &p); err != nil {
		t.Fatalf("a refusal is no JSON: %v: %s", err, got.body)
	}
	if p.Status != got.status {
		t.Errorf("the refusal says status %d, and has %d", p.Status, got.status)
	}
	return p
}

// Every demo build is answered over HTTP as it is over gRPC, by general-purpose
// protojson on this side.
func TestJSONSaysWhatGRPCSays(t *testing.T) {
	t.Parallel()
	s := start(t, server.Config{Packs: everyPack()})
	h, client := direct(t, s, gateway.Config{}), v1.NewCheckServiceClient(native(t, s))
	every := []protojson.MarshalOptions{{UseProtoNames: true}, {}, {UseEnumNumbers: true, Multiline: true}}
	for name, check := range demoChecks(t) {
		check.Wants = []string{"clearance.arrangement", "interface.links", "mounting.assembly", "thermal.forecast"}
		if name == "archive-draft.yaml" { // a ranking takes long, and its messages are the same for every build
			check.Wants = append(check.Wants, "clearance.ranking")
		}
		want, err := client.Check(t.Context(), check)
		if err != nil {
			t.Fatal(err)
		}
		spellings := every
		if name != "archive-editor.yaml" {
			spellings = every[:1]
		}
		for _, spelling := range spellings {
			body, err := spelling.Marshal(check)
			if err != nil {
				t.Fatal(err)
			}
			got := post(t, h, "/v1/check", body)
			answer := new(v1.CheckResponse)
			if err := protojson.Unmarshal(got.body, answer); got.status != http.StatusOK || err != nil {
				t.Fatalf("%s is answered by %d, %v: %.300s", name, got.status, err, got.body)
			}
			if !proto.Equal(want, answer) {
				t.Errorf("%s is answered otherwise over HTTP", name)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	deep := strings.Repeat(`{"build":`, 101) + strings.Repeat("}", 101)
	for _, c := range []struct {
		name, body   string
		status       int
		code, reason string
		path, why    string
	}{
		{"unknown field", `{"build":{"itemz":[]}}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "build", `Build has no field "itemz"; the nearest is "items"`},
		{"unknown field below", `{"build":{"items":[{"part":{"fan":{"size":1}}}]}}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "build.items[0].part.fan", `no field "size"`},
		{"wrong type", `{"build":{"items":[{"id":7}]}}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "build.items[0].id", "write it in quotes"},
		{"twice", `{"build":{"id":"a","id":"b"}}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "", "stands twice"},
		{"field rule", `{"build":{"id":"NOT AN ID"}}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "build.id", ""},
		{"nothing", `{}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "", "empty"},
		{"no text", ``, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "", "empty"},
		{"cut off", `{"build":`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "", "cut off"},
		{"not finite", `{"build":{"room":{"temperature_c":1e999}}}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "build.room", ""},
		{"too deep", deep, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "", "deeper than 100"},
		{"too large", `{"build":{"title":"` + strings.Repeat("a", 2<<20) + `"}}`, 413, "RESOURCE_EXHAUSTED", "", "", ""},
		{"unknown fact", `{"build":{"id":"a","items":[{"id":"f","part":{"id":"f","name":"F","fan":{}}}]},"wants":["no.such"]}`, 400, "INVALID_ARGUMENT", "DOCUMENT_INVALID", "wants[0]", "no.such"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := post(t, h, "/v1/check", []byte(c.body))
			p := problemIn(t, got)
			if got.status != c.status || p.Code != c.code || p.Reason != c.reason || p.Detail == "" || p.Title == "" {
				t.Fatalf("got %d %+v", got.status, p)
			}
			if c.path == "" && c.why == "" {
				return
			}
			if !slices.ContainsFunc(p.Violations, func(v struct{ Path, Reason string }) bool {
				return strings.HasPrefix(v.Path, c.path) && strings.Contains(v.Reason, c.why)
			}) {
				t.Errorf("no violation at %q says %q: %+v", c.path, c.why, p.Violations)
			}
		})
	}
}

func TestRoutesThatAreNotAskedAsTheyCanBe(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	for _, c := range []struct {
		verb, path, media string
		status            int
	}{
		{"GET", "/v1/check", "", 405},
		{"DELETE", "/v1/packs", "", 405},
		{"POST", "/v1/nothing", "application/json", 404},
		{"GET", "/nothing", "", 404},
		{"GET", "/slipfit.v1.CheckService/Nothing", "", 404},
		{"GET", "/slipfit.v1.CheckServic", "", 404},
		{"POST", "/v1/check", "application/x-www-form-urlencoded", 415},
		{"POST", "/v1/check-many", "text/plain", 415},
		{"POST", "/v1/check?build=1", "application/json", 400},
		{"GET", "/v1/rules/no.such-rule", "", 404},
	} {
		got := ask(t, h, c.verb, c.path, []byte(`{}`), "Content-Type", c.media)
		if p := problemIn(t, got); got.status != c.status || p.Detail == "" {
			t.Errorf("%s %s is answered by %d, want %d: %s", c.verb, c.path, got.status, c.status, got.body)
		}
		if c.status == 405 && got.header.Get("Allow") == "" {
			t.Errorf("%s %s does not say what is allowed (RFC 9110, section 15.5.6)", c.verb, c.path)
		}
	}
}

func TestOtherRoutes(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	list := new(v1.ListPacksResponse)
	if got := ask(t, h, "GET", "/v1/packs", nil); protojson.Unmarshal(got.body, list) != nil || len(list.Packs) != 1 || list.Packs[0].GetName() != "interface" {
		t.Errorf("the packs are %s", got.body)
	}
	rule := new(v1.DescribeRuleResponse)
	id := list.Packs[0].Rules[0]
	if got := ask(t, h, "GET", "/v1/rules/"+id, nil); protojson.Unmarshal(got.body, rule) != nil || rule.GetRule().GetId() != id {
		t.Errorf("the rule %s is %s", id, got.body)
	}
	check := demoCheck(t)
	page := post(t, h, "/v1/sheet?day=Monday", jsonOf(t, check), "Accept", "text/html,application/xhtml+xml,*/*;q=0.8")
	if page.header.Get("Content-Type") != "text/html; charset=utf-8" || !bytes.Contains(page.body, []byte("Sheet, Monday")) {
		t.Errorf("the sheet is %v: %.200s", page.header, page.body)
	}
	// SHA-256 of the styles by openssl: printf 'p{margin:0}' | openssl dgst -sha256 -binary | base64
	const style = "style-src 'sha256-QRQPRLGyxt3RJiKpYNjpkgHcmHU2PywsfL2e8oI0LQA=' 'sha256-uvOLMGCNdRaXZ7D5FE4GjwpOKlBgbEDdYi7feZQnIeM=';"
	if policy := page.header.Get("Content-Security-Policy"); !strings.Contains(policy, style) || strings.Contains(policy, "unsafe") {
		t.Errorf("the sheet's policy is %q", policy)
	}
	data := post(t, h, "/v1/sheet", jsonOf(t, check), "Accept", "application/json, text/html;q=0.5")
	if sheet := new(v1.MakeSheetResponse); protojson.Unmarshal(data.body, sheet) != nil || sheet.GetHtml() == "" {
		t.Errorf("the sheet as JSON is %.200s", data.body)
	}
	plan := &v1.ShortlistRequest{
		Plan:       &v1.ShortlistPlan{Build: check.Build, Item: proto.String("cooler"), Packs: []*v1.PackPin{{Name: proto.String("interface")}}},
		Candidates: []*v1.Part{{Id: proto.String("tall"), Name: proto.String("Tall"), Kind: &v1.Part_AirCooler{AirCooler: &v1.AirCooler{}}}},
	}
	body, err := protojson.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	short := new(v1.ShortlistResponse)
	if got := post(t, h, "/v1/shortlist", body); protojson.Unmarshal(got.body, short) != nil || short.GetSummary().GetCandidates() != 1 {
		t.Errorf("the shortlist is %d %s", got.status, got.body)
	}
}

// What the document describes is there, and what is there is described.
func TestDescriptionIsOfTheseRoutes(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	var document struct {
		Paths map[string]map[string]any
	}
	served := ask(t, h, "GET", "/openapi.json", nil)
	if !bytes.Equal(served.body, openapi.JSON) || json.Unmarshal(served.body, &document) != nil {
		t.Fatal("the document is not served as it is")
	}
	if got := ask(t, h, "GET", "/openapi.yaml", nil); !bytes.Equal(got.body, openapi.YAML) {
		t.Error("the document is not served as YAML")
	}
	variable := regexp.MustCompile(`\{[a-z_]+\}`)
	for path, operations := range document.Paths {
		for verb := range operations {
			got := ask(t, h, strings.ToUpper(verb), variable.ReplaceAllString(path, "interface.socket"), []byte("{}"), "Content-Type", "application/json")
			if got.status == http.StatusNotFound || got.status == http.StatusMethodNotAllowed {
				t.Errorf("%s %s is described and not there: %d", verb, path, got.status)
			}
		}
	}
	routes := regexp.MustCompile(`(?m)^(GET|POST) +(/v1/[a-z/-]+[a-z])(/RULE)?`).FindAllStringSubmatch(string(ask(t, h, "GET", "/", nil).body), -1)
	if len(routes) < 8 {
		t.Fatalf("the page at the root names %d routes", len(routes))
	}
	for _, route := range routes {
		path := route[2]
		if route[3] != "" {
			path += "/{rule}"
		}
		if document.Paths[path][strings.ToLower(route[1])] == nil {
			t.Errorf("%s %s is named at the root and not described", route[1], path)
		}
	}
}
