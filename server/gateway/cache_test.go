package gateway_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/gateway"
	"slipfit.example/server/policy"
)

// counting counts the calls that reach the handlers.
type counting struct {
	gateway.Service
	calls *int
}

func (c counting) Call(ctx context.Context, method string, request []byte) ([]byte, error) {
	*c.calls++
	return c.Service.Call(ctx, method, request)
}

func tenants() *policy.Tenants {
	factor := func(n float64) policy.Values {
		return policy.Values{{Parameter: proto.String(parameter), Value: &n}}
	}
	return &policy.Tenants{Each: map[string]policy.Values{"strict": factor(9), "loose": factor(2)}}
}

// parameter is one that the interface pack has.
const parameter = "interface.header-current.start_factor"

func TestTagFollowsWhatDecidesTheAnswer(t *testing.T) {
	t.Parallel()
	s := start(t, server.Config{Packs: onePack(), Tenants: tenants()})
	calls := 0
	h := direct(t, counting{s, &calls}, gateway.Config{})
	body := jsonOf(t, demoCheck(t))
	first := post(t, h, "/v1/check", body)
	tag := first.header.Get("ETag")
	if first.status != 200 || !strings.HasPrefix(tag, `W/"`) || !strings.Contains(first.header.Get("Cache-Control"), "no-cache") {
		t.Fatalf("the answer has %d %v", first.status, first.header)
	}
	for _, match := range []string{tag, strings.TrimPrefix(tag, "W/"), `"other", ` + tag} {
		again := post(t, h, "/v1/check", body, "If-None-Match", match)
		if again.status != http.StatusNotModified || len(again.body) != 0 || again.header.Get("ETag") != tag {
			t.Errorf("If-None-Match: %s is answered by %d", match, again.status)
		}
	}
	if calls != 1 {
		t.Errorf("an unchanged basket was checked %d times", calls-1)
	}
	other := demoCheck(t)
	other.Build.Title = proto.String("Another")
	wanting := demoCheck(t)
	wanting.Wants = []string{"interface.links"}
	set := demoCheck(t)
	set.Policy = []*v1.PolicyValue{{Parameter: proto.String(parameter), Value: proto.Float64(3)}}
	tags := []string{tag}
	for name, got := range map[string]asked{
		"another build": post(t, h, "/v1/check", jsonOf(t, other)), "facts": post(t, h, "/v1/check", jsonOf(t, wanting)),
		"a policy": post(t, h, "/v1/check", jsonOf(t, set)), "a sheet": post(t, h, "/v1/sheet", body),
		"a page": post(t, h, "/v1/sheet", body, "Accept", "text/html"), "a day": post(t, h, "/v1/sheet?day=x", body),
		"a tenant": post(t, h, "/v1/check", body, gateway.TenantHeader, "strict"), "another tenant": post(t, h, "/v1/check", body, gateway.TenantHeader, "loose"),
	} {
		if got.status != 200 || slices.Contains(tags, got.header.Get("ETag")) || got.header.Get("ETag") == "" {
			t.Errorf("%s has %d %s: %.300s", name, got.status, got.header.Get("ETag"), got.body)
		}
		if !strings.Contains(got.header.Get("Vary")+strings.Join(got.header.Values("Vary"), ","), gateway.TenantHeader) {
			t.Errorf("%s does not vary by tenant", name)
		}
		tags = append(tags, got.header.Get("ETag"))
	}
	if got := post(t, h, "/v1/check", []byte(`{"build":{"id":"NO ID"}}`), "If-None-Match", "*"); got.status != 400 {
		t.Errorf("a bad document is answered by %d", got.status)
	}
}

// A pack of another version makes another tag, and one that is dead none.
func TestTagFollowsPacks(t *testing.T) {
	t.Parallel()
	body := jsonOf(t, demoCheck(t))
	before := direct(t, start(t, server.Config{Packs: launch("1.0.0", "interface")}), gateway.Config{})
	after := direct(t, start(t, server.Config{Packs: launch("1.0.1", "interface")}), gateway.Config{})
	old := post(t, before, "/v1/check", body).header.Get("ETag")
	if got := post(t, after, "/v1/check", body, "If-None-Match", old); got.status != 200 || got.header.Get("ETag") == old || old == "" {
		t.Errorf("a pack of another version answers %d with the same tag %s", got.status, old)
	}
	broken := append(launch("1.0.0", "interface"), launch("1.0.0", "power")...)
	broken[1].Command = []string{"/nonexistent"}
	h := direct(t, start(t, server.Config{Packs: broken}), gateway.Config{})
	got := post(t, h, "/v1/check", body)
	if got.status != 200 || got.header.Get("ETag") != "" || got.header.Get("Cache-Control") != "no-store" {
		t.Errorf("an answer that a pack has no part in may be kept: %d %v", got.status, got.header)
	}
}

func getPath(t *testing.T, check *v1.CheckRequest, encoding string) string {
	t.Helper()
	message := jsonOf(t, check)
	if encoding == "proto" {
		var err error
		if message, err = proto.Marshal(check); err != nil {
			t.Fatal(err)
		}
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, _ = z.Write(message)
	_ = z.Close()
	q := url.Values{"connect": {"v1"}, "encoding": {encoding}, "base64": {"1"}, "compression": {"gzip"}, "message": {base64.RawURLEncoding.EncodeToString(packed.Bytes())}}
	return "/slipfit.v1.CheckService/Check?" + q.Encode()
}

func TestGetIsForSharedCaches(t *testing.T) {
	t.Parallel()
	h := direct(t, start(t, server.Config{Packs: onePack(), Tenants: tenants()}), gateway.Config{})
	for _, encoding := range []string{"json", "proto"} {
		path := getPath(t, demoCheck(t), encoding)
		got := ask(t, h, "GET", path, nil)
		if want := "public, max-age=30, stale-while-revalidate=30"; got.status != 200 || got.header.Get("Cache-Control") != want || got.header.Get("ETag") == "" {
			t.Fatalf("%s: %d %v", encoding, got.status, got.header)
		}
		if again := ask(t, h, "GET", path, nil, "If-None-Match", got.header.Get("ETag")); again.status != 304 || !strings.HasPrefix(again.header.Get("Cache-Control"), "public") {
			t.Errorf("%s: asked again, %d %v", encoding, again.status, again.header)
		}
		if own := ask(t, h, "GET", path, nil, gateway.TenantHeader, "strict"); !strings.HasPrefix(own.header.Get("Cache-Control"), "private") {
			t.Errorf("%s: a tenant's answer may be kept by everybody: %v", encoding, own.header)
		}
	}
	if got := ask(t, h, "GET", "/slipfit.v1.CheckService/Check?connect=v1&encoding=json&message=%7B%7D", nil); got.status != 400 || got.header.Get("Cache-Control") != "no-store" {
		t.Errorf("a refusal may be kept: %d %v", got.status, got.header)
	}
}

func TestPacking(t *testing.T) {
	t.Parallel()
	h := direct(t, common.service(t), gateway.Config{})
	body := jsonOf(t, demoCheck(t))
	plain := post(t, h, "/v1/check", body)
	for coding, open := range map[string]func([]byte) (io.Reader, error){
		"gzip": func(b []byte) (io.Reader, error) { return gzip.NewReader(bytes.NewReader(b)) },
		"zstd": func(b []byte) (io.Reader, error) { return zstd.NewReader(bytes.NewReader(b)) },
	} {
		got := post(t, h, "/v1/check", body, "Accept-Encoding", coding)
		if got.header.Get("Content-Encoding") != coding || !slices.Contains(got.header.Values("Vary"), "Accept-Encoding") {
			t.Errorf("%s is answered with %v", coding, got.header)
			continue
		}
		reader, err := open(got.body)
		if err != nil {
			t.Fatal(err)
		}
		if text, err := io.ReadAll(reader); err != nil || !bytes.Equal(text, plain.body) {
			t.Errorf("%s unpacks to something else: %v", coding, err)
		}
		if got.header.Get("ETag") != plain.header.Get("ETag") {
			t.Errorf("the weak tag differs by coding")
		}
	}
	for coding, packed := range map[string][]byte{"gzip": gzipped(body), "zstd": zstded(body), "identity": body} {
		if got := post(t, h, "/v1/check", packed, "Content-Encoding", coding); got.status != 200 || !bytes.Equal(got.body, plain.body) {
			t.Errorf("a body by %s is answered by %d: %.200s", coding, got.status, got.body)
		}
	}
}

func gzipped(b []byte) []byte {
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	_, _ = z.Write(b)
	_ = z.Close()
	return out.Bytes()
}

func zstded(b []byte) []byte {
	z, err := zstd.NewWriter(nil)
	if err != nil {
		panic(err)
	}
	return z.EncodeAll(b, nil)
}
