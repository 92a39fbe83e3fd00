package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/clients/demo"
	v1 "slipfit.example/proto/slipfit/v1"
)

// site gives the site over an api that tells what reached it.
func site(t *testing.T) http.Handler {
	t.Helper()
	handler, err := New(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, _ := io.ReadAll(r.Body)
		w.Header().Set("Content-Type", "text/html")
		_, _ = w.Write([]byte(r.Method + " " + r.URL.Path + " " + r.Header.Get("Accept") + " " + r.Header.Get("Content-Type") + "\n" + string(body)))
	}))
	if err != nil {
		t.Fatal(err)
	}
	return handler
}

func get(t *testing.T, handler http.Handler, request *http.Request) *http.Response {
	t.Helper()
	recorder := httptest.NewRecorder()
	handler.ServeHTTP(recorder, request)
	return recorder.Result()
}

func body(t *testing.T, response *http.Response) string {
	t.Helper()
	text, err := io.ReadAll(response.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestPages(t *testing.T) {
	handler := site(t)
	for path, kind := range map[string]string{
		"/": "text/html; charset=utf-8", "/shop.js": "text/javascript; charset=utf-8", "/shop.css": "text/css; charset=utf-8",
		PanelPath: "text/javascript; charset=utf-8", "/slipfit-panel-de.js": "text/javascript; charset=utf-8", "/icon.svg": "image/svg+xml", "/demo/builds.json": "application/json", "/demo/parts.json": "application/json",
	} {
		response := get(t, handler, httptest.NewRequest(http.MethodGet, path, nil))
		if response.StatusCode != http.StatusOK || response.Header.Get("Content-Type") != kind || body(t, response) == "" {
			t.Errorf("%s: %s, %q", path, response.Status, response.Header.Get("Content-Type"))
		}
		again := httptest.NewRequest(http.MethodGet, path, nil)
		again.Header.Set("If-None-Match", response.Header.Get("ETag"))
		if got := get(t, handler, again); got.StatusCode != http.StatusNotModified {
			t.Errorf("%s that the browser has: %s, want 304", path, got.Status)
		}
		if open := response.Header.Get("Access-Control-Allow-Origin") == "*"; open != strings.HasPrefix(path, "/slipfit-panel") {
			t.Errorf("%s: open to every origin: %t", path, open)
		}
	}
	for _, path := range []string{"/index.html", "/dist/", "/nothing", "/../site.go", "/demo/"} {
		if got := get(t, handler, httptest.NewRequest(http.MethodGet, path, nil)); got.StatusCode == http.StatusOK {
			t.Errorf("%s is served", path)
		}
	}
}

func TestCompression(t *testing.T) {
	handler := site(t)
	plain := body(t, get(t, handler, httptest.NewRequest(http.MethodGet, PanelPath, nil)))
	for accept, packed := range map[string]bool{"gzip": true, "br, gzip;q=0.5": true, "GZIP ; q=1": true, "": false, "br": false, "gzip;q=0": false, "gzip;q=0.0": false, "xgzip": false} {
		request := httptest.NewRequest(http.MethodGet, PanelPath, nil)
		request.Header.Set("Accept-Encoding", accept)
		response := get(t, handler, request)
		if got := response.Header.Get("Content-Encoding") == "gzip"; got != packed {
			t.Errorf("%q: gzip %t, want %t", accept, got, packed)
			continue
		}
		text := body(t, response)
		if packed {
			r, err := gzip.NewReader(strings.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			unpacked, err := io.ReadAll(r)
			if err != nil {
				t.Fatal(err)
			}
			text = string(unpacked)
		}
		if text != plain {
			t.Errorf("%q: another body", accept)
		}
	}
}

// The policy forbids inline scripts and styles, so that the page must hold none.
func TestPageKeepsItsPolicy(t *testing.T) {
	response := get(t, site(t), httptest.NewRequest(http.MethodGet, "/", nil))
	policy := response.Header.Get("Content-Security-Policy")
	if !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") {
		t.Errorf("the policy is %q", policy)
	}
	text := body(t, response)
	for _, bad := range []string{"<style", " style=", "onclick", "onload", "javascript:", "http://", "https://"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
	if strings.Count(text, "<script") != strings.Count(text, "<script type=\"module\" src=\"") {
		t.Error("the page has a script of its own")
	}
}

// maxPanel is how large the panel may be, gzipped, with everything it needs.
const maxPanel = 20_000

func TestPanelStaysSmall(t *testing.T) {
	script, err := dist.ReadFile("dist" + PanelPath)
	if err != nil {
		t.Fatal(err)
	}
	var packed bytes.Buffer
	w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(script); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if packed.Len() > maxPanel {
		t.Errorf("the panel takes %d bytes gzipped, more than %d", packed.Len(), maxPanel)
	}
	for _, bad := range []string{"innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function", "localStorage", "sessionStorage", "document.cookie"} {
		if bytes.Contains(script, []byte(bad)) {
			t.Errorf("the panel uses %s", bad)
		}
	}
	// The one module that the panel loads besides is a language, from where it came itself.
	if n := bytes.Count(script, []byte("import(")); n != 1 || !bytes.Contains(script, []byte("import.meta.url).href")) {
		t.Errorf("the panel loads other modules at %d places, want its language alone", n)
	}
}

func TestDemoData(t *testing.T) {
	handler := site(t)
	var parts []json.RawMessage
	if err := json.Unmarshal([]byte(body(t, get(t, handler, httptest.NewRequest(http.MethodGet, "/demo/parts.json", nil)))), &parts); err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, p := range parts {
		part := new(v1.Part)
		if err := protojson.Unmarshal(p, part); err != nil {
			t.Fatal(err)
		}
		if part.GetId() == "" || part.Kind == nil {
			t.Errorf("a part without id or kind: %.80s", p)
		}
		known[part.GetId()] = true
	}
	var builds []shownBuild
	if err := json.Unmarshal([]byte(body(t, get(t, handler, httptest.NewRequest(http.MethodGet, "/demo/builds.json", nil)))), &builds); err != nil {
		t.Fatal(err)
	}
	files, err := demo.FS.ReadDir("builds")
	if err != nil {
		t.Fatal(err)
	}
	if len(builds) != len(files) {
		t.Errorf("the shop has %d builds and the demo %d; the README's table names those that are shown", len(builds), len(files))
	}
	for _, b := range builds {
		build := new(v1.Build)
		if err := protojson.Unmarshal(b.Build, build); err != nil {
			t.Fatal(err)
		}
		if build.GetTitle() == "" || b.Shows == "" || b.Expect == "" || strings.Contains(b.Shows+b.Expect, "`") {
			t.Errorf("%s says of itself %q, %q, %q", build.GetId(), build.GetTitle(), b.Shows, b.Expect)
		}
		for _, item := range build.GetItems() {
			if !known[item.GetPart().GetId()] {
				t.Errorf("%s holds %q, which is in no list of parts", build.GetId(), item.GetPart().GetId())
			}
		}
	}
}

func TestSheetForm(t *testing.T) {
	post := func(form string) *http.Response {
		request := httptest.NewRequest(http.MethodPost, "/sheet", strings.NewReader(form))
		request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		return get(t, site(t), request)
	}
	check := `{"build":{"title":"Ümlaut & <b>"}}`
	want := "POST /v1/sheet text/html application/json\n" + check
	if got := body(t, post(url.Values{"check": {check}}.Encode())); got != want {
		t.Errorf("the api was asked\n%s\nwant\n%s", got, want)
	}
	if got := post(""); got.StatusCode != http.StatusBadRequest || body(t, got) != "The form has no field \"check\"; send the question to make a sheet of.\n" {
		t.Errorf("an empty form: %s", got.Status)
	}
	if got := post("check=" + strings.Repeat("a", maxForm)); got.StatusCode != http.StatusBadRequest {
		t.Errorf("a form that is too large: %s", got.Status)
	}
	if got := get(t, site(t), httptest.NewRequest(http.MethodGet, "/sheet", nil)); got.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("GET /sheet: %s", got.Status)
	}
}
