package serve_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"faultloom/cmd/internal/bundle"
	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/serve"
	"faultloom/cmd/internal/store"
	"faultloom/cmd/internal/wire"
	"faultloom/scenarios"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	job  = "dt14-06-gate-four"
	port = "4711"
	host = "127.0.0.1:" + port
)

const program = "\x00asm pretends to be a program"

// newDesk returns a desk over a library, with its attempts in a folder that goes with the test.
func newDesk(t *testing.T, lib *scenarios.Library) *desk.Desk {
	t.Helper()
	s, err := store.Open(t.TempDir())
	require.NoError(t, err)
	d := desk.New(lib, s, time.Now)
	d.ThinkAfter(time.Hour) // the tests of the desk have the coach think along
	t.Cleanup(d.Close)
	return d
}

func library(t *testing.T) *scenarios.Library {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	return lib
}

func newSite(t *testing.T) serve.Site {
	t.Helper()
	dir := t.TempDir()
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	_, err := z.Write([]byte(program))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	require.NoError(t, os.WriteFile(filepath.Join(dir, bundle.WasmName), packed.Bytes(), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, bundle.ExecName), []byte("// loader"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(dir), "secret.txt"), []byte("not for the page"), 0o600))
	page := fstest.MapFS{
		"index.html": {Data: []byte("<!doctype html><title>bench</title>")},
		"page.js":    {Data: []byte("start()")},
		"page.css":   {Data: []byte("body{}")},
		"icon.svg":   {Data: []byte("<svg/>")},
		"sub/x.html": {Data: []byte("sub")},
	}
	return serve.Site{Desk: newDesk(t, library(t)), Page: page, Bundle: dir}
}

// call sends one request through the guard, as the page would unless change says otherwise.
func call(h http.Handler, method, target, body string, change func(r *http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://"+host+"/", strings.NewReader(body))
	r.Host = host
	if i := strings.IndexByte(target, '?'); i >= 0 {
		r.URL.RawQuery = target[i+1:]
		target = target[:i]
	}
	r.URL.Path = target
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if method == http.MethodPost {
		r.Header.Set("Origin", "http://"+host)
		r.Header.Set("Content-Type", "application/json")
	}
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func header(name string, values ...string) func(*http.Request) {
	return func(r *http.Request) {
		if len(values) == 0 {
			r.Header.Del(name)
			return
		}
		r.Header[http.CanonicalHeaderKey(name)] = values
	}
}

const begin = `{"id":"` + job + `"}`

func TestGuard(t *testing.T) {
	h := serve.Handler(port, newSite(t))
	hostIs := func(name string) func(*http.Request) { return func(r *http.Request) { r.Host = name } }
	both := func(fs ...func(*http.Request)) func(*http.Request) {
		return func(r *http.Request) {
			for _, f := range fs {
				f(r)
			}
		}
	}
	for _, c := range []struct {
		name   string
		method string
		target string
		change func(*http.Request)
		want   int
	}{
		{"the page itself", "GET", "/", header("Sec-Fetch-Site", "none"), 200},
		{"a program without a browser's headers", "GET", "/api/exercises", header("Sec-Fetch-Site"), 200},
		{"by the name of the loopback", "GET", "/", hostIs("localhost:" + port), 200},
		{"by its address of version 6", "GET", "/", hostIs("[::1]:" + port), 200},
		{"in capitals", "GET", "/", hostIs("LocalHost:" + port), 200},
		{"a foreign host that points here", "GET", "/", hostIs("evil.example:" + port), 421},
		{"a foreign host without a port", "GET", "/api/exercises", hostIs("evil.example"), 421},
		{"the right host at another port", "GET", "/", hostIs("127.0.0.1:80"), 421},
		{"the right host without a port", "GET", "/", hostIs("127.0.0.1"), 421},
		{"a host that begins alike", "GET", "/", hostIs("127.0.0.1:" + port + ".evil.example"), 421},
		{"no host", "GET", "/", hostIs(""), 421},
		{"another page asks for it", "GET", "/api/exercises", header("Sec-Fetch-Site", "cross-site"), 403},
		{"a page of another port asks for it", "GET", "/", header("Sec-Fetch-Site", "same-site"), 403},
		{"a foreign origin reads", "GET", "/api/exercises", header("Origin", "https://evil.example"), 403},
		{"a foreign origin posts", "POST", "/api/start", both(header("Origin", "https://evil.example"), header("Sec-Fetch-Site")), 403},
		{"the origin of another port posts", "POST", "/api/start", header("Origin", "http://127.0.0.1:80"), 403},
		{"another scheme posts", "POST", "/api/start", header("Origin", "https://"+host), 403},
		{"a hidden origin posts", "POST", "/api/start", header("Origin", "null"), 403},
		{"an origin that is none posts", "POST", "/api/start", header("Origin", "http://%zz"), 403},
		{"nobody says where a change comes from", "POST", "/api/start", both(header("Origin"), header("Sec-Fetch-Site")), 403},
		{"a form of another page", "POST", "/api/start", both(header("Sec-Fetch-Site", "cross-site"), header("Content-Type", "text/plain")), 403},
		{"the page posts", "POST", "/api/start", nil, 200},
		{"the page by another of its names", "POST", "/api/start", both(hostIs("localhost:"+port), header("Origin", "http://localhost:"+port)), 200},
		{"by one name from another", "POST", "/api/start", both(hostIs("localhost:"+port), header("Origin", "http://"+host)), 403},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := call(h, c.method, c.target, begin, c.change)
			assert.Equal(t, c.want, w.Code, w.Body)
			assert.Empty(t, w.Header().Get("Access-Control-Allow-Origin"), "no other origin may ever read")
		})
	}
}

func TestHeaders(t *testing.T) {
	h := serve.Handler(port, newSite(t))
	for _, target := range []string{"/", "/page.js", "/bench.wasm", "/wasm_exec.js", "/api/exercises", "/no-such", "/api/job?exercise=no-such"} {
		w := call(h, "GET", target, "", nil)
		head := w.Header()
		csp := head.Get("Content-Security-Policy")
		assert.Contains(t, csp, "default-src 'none'", target)
		assert.Contains(t, csp, "frame-ancestors 'none'", target)
		assert.NotContains(t, csp, "unsafe-inline", target)
		assert.NotContains(t, strings.ReplaceAll(csp, "'wasm-unsafe-eval'", ""), "unsafe-eval", target)
		assert.Equal(t, "nosniff", head.Get("X-Content-Type-Options"), target)
		assert.Equal(t, "DENY", head.Get("X-Frame-Options"), target)
		assert.Equal(t, "no-referrer", head.Get("Referrer-Policy"), target)
		assert.Equal(t, "same-origin", head.Get("Cross-Origin-Resource-Policy"), target)
		assert.NotEmpty(t, head.Get("Content-Type"), target)
		assert.Contains(t, []string{"no-store", "no-cache", ""}, head.Get("Cache-Control"), target)
	}
	for target, want := range map[string]string{
		"/": "text/html; charset=utf-8", "/page.js": "text/javascript; charset=utf-8", "/page.css": "text/css; charset=utf-8",
		"/icon.svg": "image/svg+xml", "/bench.wasm": "application/wasm", "/wasm_exec.js": "text/javascript; charset=utf-8",
		"/api/exercises": "application/json",
	} {
		w := call(h, "GET", target, "", nil)
		assert.Equal(t, 200, w.Code, target)
		assert.Equal(t, want, w.Header().Get("Content-Type"), target)
	}
}

func TestProgramIsSentPacked(t *testing.T) {
	site := newSite(t)
	h := serve.Handler(port, site)
	w := call(h, "GET", "/bench.wasm", "", nil)
	require.Equal(t, 200, w.Code)
	assert.Equal(t, "gzip", w.Header().Get("Content-Encoding"))
	z, err := gzip.NewReader(w.Body)
	require.NoError(t, err)
	plain, err := io.ReadAll(z)
	require.NoError(t, err)
	assert.Equal(t, program, string(plain))
	assert.Equal(t, "29", w.Header().Get("X-Plain-Length"), "for the progress bar")

	again := call(h, "GET", "/bench.wasm", "", header("If-None-Match", w.Header().Get("ETag")))
	assert.Equal(t, 304, again.Code)
	assert.Zero(t, again.Body.Len())
	changed := call(h, "GET", "/bench.wasm", "", header("If-None-Match", `"another"`))
	assert.Equal(t, 200, changed.Code)

	require.NoError(t, os.Remove(filepath.Join(site.Bundle, bundle.WasmName)))
	w = call(h, "GET", "/bench.wasm", "", nil)
	assert.Equal(t, 500, w.Code)
	assert.Empty(t, w.Header().Get("Content-Encoding"))
	assert.Contains(t, w.Body.String(), "start the program again")
}

func TestPathsStayInside(t *testing.T) {
	h := serve.Handler(port, newSite(t))
	for _, target := range []string{
		"/../secret.txt", "/..%2fsecret.txt", "/%2e%2e/secret.txt", "/sub/../../secret.txt", "//secret.txt", `/..\secret.txt`, "/./../../etc/passwd",
		"/bench.wasm/../secret.txt", "/sub", "/sub/", "/bench.wasm.gz", "/api/", "/api", "/\x00", "/index.html/", "/.", "/..",
	} {
		w := call(h, "GET", target, "", nil)
		assert.NotContains(t, w.Body.String(), "not for the page", target)
		assert.NotContains(t, w.Body.String(), "x.html", "no folder is listed: %s", target)
		if w.Code == 200 {
			assert.Contains(t, w.Body.String(), "<title>bench</title>", "what is clean is the page: %s", target)
		}
	}
	assert.Equal(t, 404, call(h, "GET", `/..\secret.txt`, "", nil).Code)
}

func TestMethods(t *testing.T) {
	h := serve.Handler(port, newSite(t))
	for _, c := range []struct{ method, target string }{
		{"POST", "/"}, {"POST", "/page.js"}, {"POST", "/api/exercises"}, {"POST", "/api/job"}, {"GET", "/api/start"}, {"GET", "/api/do"},
		{"PUT", "/api/do"}, {"DELETE", "/api/job"}, {"PATCH", "/api/start"}, {"OPTIONS", "/api/do"}, {"TRACE", "/"}, {"CONNECT", "/"},
	} {
		w := call(h, c.method, c.target, begin, header("Origin", "http://"+host))
		assert.Contains(t, []int{404, 405}, w.Code, "%s %s: %s", c.method, c.target, w.Body)
	}
	w := call(h, "GET", "/api/exercises", "", nil)
	var list wire.Exercises
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &list))
	for _, e := range list.Exercises {
		assert.False(t, e.Open, "none of these began anything: %s", e.ID)
	}
	w = call(h, "HEAD", "/", "", nil)
	assert.Equal(t, 200, w.Code)
}

func TestBadRequests(t *testing.T) {
	h := serve.Handler(port, newSite(t))
	require.Equal(t, 200, call(h, "POST", "/api/start", begin, nil).Code)
	long := strings.Repeat("x", 40_000)
	for _, c := range []struct {
		name, target, body string
		change             func(*http.Request)
		want               int
		says               string
	}{
		{"empty", "/api/start", "", nil, 400, "not understood"},
		{"no JSON", "/api/start", "id=" + job, nil, 400, "not understood"},
		{"a list", "/api/start", "[]", nil, 400, "not understood"},
		{"unknown field", "/api/start", `{"id":"` + job + `","faults":true}`, nil, 400, `unknown field \"faults\"`},
		{"two messages", "/api/start", begin + begin, nil, 400, "more than one message"},
		{"something behind it", "/api/start", begin + "}", nil, 400, "not understood"},
		{"oversized", "/api/start", `{"id":"` + long + `"}`, nil, 413, "16384 bytes"},
		{"oversized behind a good one", "/api/start", begin + strings.Repeat(" ", 40_000), nil, 413, "16384 bytes"},
		{"another type", "/api/start", begin, header("Content-Type", "text/plain"), 415, "application/json"},
		{"no type", "/api/start", begin, header("Content-Type"), 415, "application/json"},
		{"no such exercise", "/api/start", `{"id":"nothing"}`, nil, 404, `no exercise \"nothing\"`},
		{"no exercise named", "/api/start", `{}`, nil, 404, "no exercise"},
		{"unknown field of an action", "/api/do", `{"exercise":"` + job + `","seq":0,"action":{"do":"close","x":1}}`, nil, 400, "x"},
		{"unknown action", "/api/do", `{"exercise":"` + job + `","seq":0,"action":{"do":"cheat"}}`, nil, 400, "cheat"},
		{"a stale number", "/api/do", `{"exercise":"` + job + `","seq":7,"action":{"do":"close"}}`, nil, 409, "the next step of the attempt is 1, not 8"},
		{"a number that is none", "/api/do", `{"exercise":"` + job + `","seq":"0","action":{"do":"close"}}`, nil, 400, "seq"},
		{"no action", "/api/do", `{"exercise":"` + job + `","seq":0}`, nil, 400, "action"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := call(h, "POST", c.target, c.body, c.change)
			assert.Equal(t, c.want, w.Code, w.Body)
			var e wire.ErrorReply
			require.NoError(t, json.Unmarshal(w.Body.Bytes(), &e), "%s", w.Body)
			assert.Contains(t, w.Body.String(), c.says)
		})
	}
	for _, target := range []string{"/api/job", "/api/job?exercise=", "/api/job?exercise=../x", "/api/job?exercise=%00"} {
		assert.Equal(t, 404, call(h, "GET", target, "", nil).Code, target)
	}
}

func TestServeEndsWithItsContext(t *testing.T) {
	site := newSite(t)
	s, err := serve.Listen(0, site)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(s.URL(), "http://127.0.0.1:"), "loopback only: %s", s.URL())
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx) }()
	answer, err := http.Get(s.URL())
	require.NoError(t, err)
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	assert.Contains(t, string(body), "<title>bench</title>")
	stop()
	select {
	case err := <-done:
		assert.NoError(t, err)
	case <-time.After(10 * time.Second): // far above closeTime
		t.Fatal("it goes on")
	}
	_, err = http.Get(s.URL())
	assert.Error(t, err, "nobody answers any more")
}

func TestAPortThatIsTaken(t *testing.T) {
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	_, err = serve.Listen(l.Addr().(*net.TCPAddr).Port, newSite(t))
	assert.ErrorContains(t, err, "cannot be opened")
}
