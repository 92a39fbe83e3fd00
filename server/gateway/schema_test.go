package gateway_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"slipfit.example/proto/openapi"
	"slipfit.example/server"
	"slipfit.example/server/gateway"
)

// What travels is what the document's schemas say, by a general-purpose validator of JSON
// Schema: questions, answers and refusals.
func TestTravelsAsDescribed(t *testing.T) {
	t.Parallel()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(openapi.JSON))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("openapi.json", document); err != nil {
		t.Fatal(err)
	}
	holds := func(what, schema string, text []byte) {
		t.Helper()
		compiled, err := compiler.Compile("openapi.json#/components/schemas/" + schema)
		if err != nil {
			t.Fatal(err)
		}
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := compiled.Validate(value); err != nil {
			t.Errorf("%s is no %s: %v", what, schema, err)
		}
	}
	h := direct(t, start(t, server.Config{Packs: everyPack()}), gateway.Config{})
	check := demoCheck(t)
	check.Wants = []string{"clearance.ranking", "thermal.forecast", "mounting.assembly"}
	body := jsonOf(t, check)
	holds("the question", "CheckRequest", body)
	answer := post(t, h, "/v1/check", body)
	if answer.status != 200 {
		t.Fatalf("answered by %d: %s", answer.status, answer.body)
	}
	holds("the answer", "CheckResponse", answer.body)
	holds("the sheet", "MakeSheetResponse", post(t, h, "/v1/sheet", body).body)
	holds("the list of packs", "ListPacksResponse", ask(t, h, "GET", "/v1/packs", nil).body)
	holds("the rule", "DescribeRuleResponse", ask(t, h, "GET", "/v1/rules/clearance.cooler-height", nil).body)
	for _, bad := range []string{`{"build":{"itemz":1}}`, `{`, `{"build":{"id":"NO ID"}}`} {
		holds("the refusal", "Problem", post(t, h, "/v1/check", []byte(bad)).body)
	}
	if compiled, err := compiler.Compile("openapi.json#/components/schemas/CheckRequest"); err != nil {
		t.Fatal(err)
	} else if err := compiled.Validate(map[string]any{"build": map[string]any{"itemz": 1}}); err == nil {
		t.Error("the schema takes an unknown field")
	}
	example := exampleOf(t, document)
	holds("the example", "CheckRequest", example)
	if got := post(t, h, "/v1/check", example); got.status != 200 {
		t.Errorf("the example is answered by %d: %s", got.status, got.body)
	}
}

// exampleOf is the document's example of a check.
func exampleOf(t *testing.T, document any) []byte {
	t.Helper()
	for _, key := range []string{"paths", "/v1/check", "post", "requestBody", "content", "application/json", "example"} {
		members, ok := document.(map[string]any)
		if !ok || members[key] == nil {
			t.Fatalf("the document has no %s", key)
		}
		document = members[key]
	}
	text, err := json.Marshal(document)
	if err != nil {
		t.Fatal(err)
	}
	return text
}
