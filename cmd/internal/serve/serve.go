package serve

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"mime"
	"net"
	"net/http"
	"path"
	"time"

	"faultloom/cmd/internal/bundle"
	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/wire"
)

// Times that bound a request. A page on the same machine needs milliseconds; a stalled one must not hold the server.
const (
	headerTime = 5 * time.Second
	readTime   = 10 * time.Second
	writeTime  = 60 * time.Second
	idleTime   = 2 * time.Minute
	closeTime  = 3 * time.Second
)

// Server serves one person's bench on the loopback address.
type Server struct {
	listener net.Listener
	server   *http.Server
}

// Site is what a server shows.
type Site struct {
	Desk   *desk.Desk
	Page   fs.FS  // the page's own files, index.html among them
	Bundle string // folder of the built bench
}

// Listen opens the port (0 = any free one) on 127.0.0.1.
func Listen(port int, site Site) (*Server, error) {
	l, err := net.Listen("tcp4", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		return nil, fmt.Errorf("port %d cannot be opened: %w", port, err)
	}
	_, p, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		l.Close()
		return nil, err
	}
	return &Server{listener: l, server: &http.Server{
		Handler:           guard(p, site.handler()),
		ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime,
		MaxHeaderBytes: 16 << 10,
	}}, nil
}

// URL is where the bench is.
func (s *Server) URL() string { return "http://" + s.listener.Addr().String() + "/" }

// Serve answers until ctx ends, then lets requests under way finish.
func (s *Server) Serve(ctx context.Context) error {
	done := make(chan error, 1)
	go func() { done <- s.server.Serve(s.listener) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.Background(), closeTime)
	defer cancel()
	if err := s.server.Shutdown(stop); err != nil {
		return s.server.Close()
	}
	return nil
}

// Handler is the site behind its guard, for the given port.
func Handler(port string, site Site) http.Handler { return guard(port, site.handler()) }

func (site Site) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /"+wire.PathExercises, func(w http.ResponseWriter, r *http.Request) {
		list, err := site.Desk.Exercises()
		answer(w, list, err)
	})
	mux.HandleFunc("GET /"+wire.PathJob, func(w http.ResponseWriter, r *http.Request) {
		job, err := site.Desk.Job(r.URL.Query().Get(wire.ExerciseQuery))
		answer(w, job, err)
	})
	mux.HandleFunc("GET /"+wire.PathPar, func(w http.ResponseWriter, r *http.Request) {
		par, err := site.Desk.Par(r.URL.Query().Get(wire.ExerciseQuery))
		answer(w, par, err)
	})
	mux.HandleFunc("POST /"+wire.PathStart, func(w http.ResponseWriter, r *http.Request) {
		var req wire.StartRequest
		if err := read(r, &req); err != nil {
			answer(w, nil, err)
			return
		}
		job, err := site.Desk.Start(req)
		answer(w, job, err)
	})
	mux.HandleFunc("POST /"+wire.PathDo, func(w http.ResponseWriter, r *http.Request) {
		var req wire.DoRequest
		if err := read(r, &req); err != nil {
			answer(w, nil, err)
			return
		}
		reply, err := site.Desk.Do(req)
		answer(w, reply, err)
	})
	mux.HandleFunc("GET /bench.wasm", func(w http.ResponseWriter, r *http.Request) {
		site.sendPacked(w, r)
	})
	mux.HandleFunc("GET /"+bundle.ExecName, func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
		site.send(w, r, bundle.ExecName)
	})
	mux.HandleFunc("GET /", site.page)
	return mux
}

// page serves the page's own few files; there are no folders to list.
func (site Site) page(w http.ResponseWriter, r *http.Request) {
	name := path.Clean(r.URL.Path)[1:]
	if name == "" {
		name = "index.html"
	}
	data, err := fs.ReadFile(site.Page, name)
	if err != nil {
		http.NotFound(w, r)
		return
	}
	kind := mime.TypeByExtension(path.Ext(name))
	switch path.Ext(name) { // what this machine's tables say may be wrong
	case ".js":
		kind = "text/javascript; charset=utf-8"
	case ".html":
		kind = "text/html; charset=utf-8"
	case ".css":
		kind = "text/css; charset=utf-8"
	case ".svg":
		kind = "image/svg+xml"
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(data)
}

// read decodes a request's body strictly.
func read(r *http.Request, into any) error {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		return &desk.Error{Status: http.StatusUnsupportedMediaType, Err: fmt.Errorf("a request must be application/json (got %q)", r.Header.Get("Content-Type"))}
	}
	dec := json.NewDecoder(r.Body)
	dec.DisallowUnknownFields()
	err := dec.Decode(into)
	if err == nil {
		var rest json.RawMessage
		if err = dec.Decode(&rest); errors.Is(err, io.EOF) {
			return nil
		}
		if err == nil {
			err = errors.New("it holds more than one message")
		}
	}
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return &desk.Error{Status: http.StatusRequestEntityTooLarge, Err: fmt.Errorf("a request may hold %d bytes", big.Limit)}
	}
	return &desk.Error{Status: desk.BadRequest, Err: fmt.Errorf("the request is not understood: %w", err)}
}

// answer sends what was asked for, or why not.
func answer(w http.ResponseWriter, what any, err error) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	if err != nil {
		status := http.StatusInternalServerError
		var e *desk.Error
		if errors.As(err, &e) {
			status = e.Status
		}
		w.WriteHeader(status)
		what = wire.ErrorReply{Error: err.Error()}
	}
	_ = json.NewEncoder(w).Encode(what)
}
