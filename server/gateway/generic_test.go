package gateway_test

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/proto/openapi"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/gateway"
)

// Programs that know nothing of this service complete a check.

// need skips a test on a developer's machine that lacks a tool, and fails it where CI
// is set.
func need(t *testing.T, tools ...string) {
	t.Helper()
	for _, tool := range tools {
		if _, err := exec.LookPath(tool); err == nil {
			continue
		}
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is missing", tool)
		}
		t.Skipf("%s is missing", tool)
	}
}

func run(t *testing.T, dir, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), name, args...)
	var stderr bytes.Buffer
	cmd.Dir, cmd.Stderr = dir, &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s%s", name, strings.Join(args, " "), err, out, stderr.String())
	}
	return out
}

func write(t *testing.T, file string, data []byte) string {
	t.Helper()
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// A validator of OpenAPI accepts the document, and a client of TypeScript generated from
// it compiles and completes a check, a 304, an explanation and a refusal.
func TestGenericValidatorAndClient(t *testing.T) {
	t.Parallel()
	need(t, "node", "npm")
	dir := t.TempDir()
	for _, name := range []string{"package.json", "package-lock.json", "client.ts", "node.d.ts", "validate.mjs"} {
		data, err := os.ReadFile(filepath.Join("testdata", "generic", name))
		if err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(dir, name), data)
	}
	run(t, dir, "npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--prefer-offline")
	document := write(t, filepath.Join(dir, "openapi.json"), openapi.JSON)
	for _, file := range []string{document, write(t, filepath.Join(dir, "openapi.yaml"), openapi.YAML)} {
		if said := run(t, dir, "node", "validate.mjs", filepath.Join(dir, "node_modules"), file); !bytes.Contains(said, []byte("OpenAPI is valid")) {
			t.Errorf("the validator says %s", said)
		}
	}
	bin := filepath.Join(dir, "node_modules", ".bin")
	run(t, dir, filepath.Join(bin, "openapi-typescript"), document, "--output", "document.ts")
	run(t, dir, filepath.Join(bin, "tsc"), "--strict", "--noUncheckedIndexedAccess", "--skipLibCheck", "--target", "es2022", "--lib", "es2022,dom",
		"--module", "nodenext", "--moduleResolution", "nodenext", "client.ts", "node.d.ts")
	url := face(t, common.service(t), gateway.Config{})
	check := write(t, filepath.Join(dir, "check.json"), jsonOf(t, demoCheck(t)))
	var said struct {
		Verdict, Refused string
		Findings         int
	}
	if err := json.Unmarshal(run(t, dir, "node", "client.js", url, check), &said); err != nil {
		t.Fatal(err)
	}
	if said.Findings == 0 || !strings.HasPrefix(said.Verdict, "VERDICT_") || said.Refused != "wants[0]" {
		t.Errorf("the client says %+v", said)
	}
}

func TestCurl(t *testing.T) {
	t.Parallel()
	need(t, "curl")
	url := face(t, common.service(t), gateway.Config{})
	dir := t.TempDir()
	check := write(t, filepath.Join(dir, "check.json"), jsonOf(t, demoCheck(t)))
	answer := new(v1.CheckResponse)
	out := run(t, dir, "curl", "-sS", "--fail-with-body", "--compressed", "-H", "Content-Type: application/json", "--data-binary", "@"+check, url+"/v1/check")
	if err := protojson.Unmarshal(out, answer); err != nil || len(answer.Findings) == 0 {
		t.Errorf("curl gets %.200s, %v", out, err)
	}
	line := append(append([]byte(`{"tag":"a","check":`), jsonOf(t, demoCheck(t))...), "}\n"...)
	lines := write(t, filepath.Join(dir, "many.ndjson"), bytes.Repeat(line, 3))
	out = run(t, dir, "curl", "-sS", "--fail-with-body", "-H", "Content-Type: application/x-ndjson", "--data-binary", "@"+lines, url+"/v1/check-many")
	if n := bytes.Count(out, []byte("\n")); n != 3 {
		t.Errorf("curl gets %d lines of 3: %.200s", n, out)
	}
}

// grpcurl learns the contract by reflection and completes a check by gRPC.
func TestGrpcurl(t *testing.T) {
	t.Parallel()
	s := common.service(t)
	address := native(t, s).Target()
	cmd := exec.CommandContext(t.Context(), "go", "tool", "-modfile=proto/tools/go.mod", "grpcurl", "-plaintext", "-d", "@", address, "slipfit.v1.CheckService/Check")
	cmd.Dir, cmd.Stdin = filepath.Join("..", ".."), bytes.NewReader(jsonOf(t, demoCheck(t)))
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	answer := new(v1.CheckResponse)
	if err != nil || protojson.Unmarshal(out, answer) != nil || len(answer.Findings) == 0 {
		t.Errorf("grpcurl gets %v: %.300s%s", err, out, stderr.String())
	}
}
