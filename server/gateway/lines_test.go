package gateway_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/gateway"
)

const ndjson = "application/x-ndjson"

// Lines are answered as they come, while the body stays open, by HTTP/1.1.
func TestLinesAreAnsweredAsTheyCome(t *testing.T) {
	t.Parallel()
	url := face(t, common.service(t), gateway.Config{})
	body, in := io.Pipe()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, url+"/v1/check-many", body)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", ndjson)
	check := string(jsonOf(t, demoCheck(t)))
	go func() { _, _ = fmt.Fprintf(in, `{"tag":"first","check":%s}`+"\n", check) }()
	response, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = response.Body.Close() }()
	out := bufio.NewReader(response.Body)
	for _, tag := range []string{"first", "second", "third"} {
		line, err := out.ReadString('\n')
		if err != nil {
			t.Fatal(err)
		}
		answer := new(v1.CheckManyResponse)
		if err := protojson.Unmarshal([]byte(line), answer); err != nil || answer.GetTag() != tag || answer.GetCheck() == nil {
			t.Fatalf("the answer to %s is %.200s, %v", tag, line, err)
		}
		switch tag {
		case "first":
			_, _ = fmt.Fprintf(in, "\n  \n"+`{"check":%s,"tag":"second"}`+"\r\n", check)
		case "second": // the last line may lack its end
			_, _ = fmt.Fprintf(in, `{"tag":"third","check":%s}`, check)
			_ = in.Close()
		}
	}
	if rest, err := io.ReadAll(out); err != nil || len(rest) > 0 {
		t.Errorf("more comes than was asked for: %s, %v", rest, err)
	}
}

func TestBadLines(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	good := string(jsonOf(t, demoCheck(t)))
	lines := []string{`{"tag":"unknown","chek":{}}`, `{"tag":"broken"`, `{"tag":"empty","check":{}}`, `{"tag":"good","check":` + good + `}`}
	got := ask(t, h, "POST", "/v1/check-many", []byte(strings.Join(lines, "\n")), "Content-Type", ndjson)
	refused, answered := map[string]bool{}, map[string]bool{}
	for line := range strings.Lines(string(got.body)) {
		answer := new(v1.CheckManyResponse)
		if err := protojson.Unmarshal([]byte(line), answer); err != nil {
			t.Fatalf("%v: %s", err, line)
		}
		if answer.GetRefusal().GetReason() != "" {
			refused[answer.GetTag()] = true
		} else {
			answered[answer.GetTag()] = answer.GetCheck() != nil
		}
	}
	// A line that is no JSON has no tag.
	if !refused["unknown"] || !refused[""] || !refused["empty"] || len(refused) != 3 || !answered["good"] || len(answered) != 1 {
		t.Errorf("refused are %v, answered %v", refused, answered)
	}
	got = ask(t, h, "POST", "/v1/matrix", []byte(`{"plan":{"build":{"id":"a"}`), "Content-Type", ndjson)
	if p := problemIn(t, got); p.Status != 400 || !strings.Contains(p.Detail, "line 1") {
		t.Errorf("a matrix without a plan is %+v", p)
	}
	long := `{"tag":"` + strings.Repeat("a", 3<<20) + `"}`
	got = ask(t, h, "POST", "/v1/check-many", []byte(`{"tag":"good","check":`+good+"}\n"+long), "Content-Type", ndjson)
	last := got.body[strings.LastIndex(strings.TrimSpace(string(got.body)), "\n")+1:]
	var end struct{ Error problem }
	if got.status == http.StatusOK && (json.Unmarshal(last, &end) != nil || !strings.Contains(end.Error.Detail, "line 2")) {
		t.Errorf("a line that is too long ends the stream with %.300s", last)
	}
	if got.status != http.StatusOK && !strings.Contains(problemIn(t, got).Detail, "line 2") {
		t.Errorf("a line that is too long is %d %.300s", got.status, got.body)
	}
}
