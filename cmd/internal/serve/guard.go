// Package serve is the local server of the bench: it shows the page, keeps the attempts, and answers nobody but the page.
package serve

import (
	"net/http"
	"net/url"
	"strings"
)

// bodyLimit bounds what a page may send in one request, in bytes; an action is a few hundred.
const bodyLimit = 16 << 10

// guard lets through only what comes from this server's own page: the host must be the loopback address it listens on
// (so that no other name can be pointed at it), and a request that says where it comes from must say: from here.
func guard(port string, next http.Handler) http.Handler {
	hosts := map[string]bool{"127.0.0.1:" + port: true, "localhost:" + port: true, "[::1]:" + port: true}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !hosts[strings.ToLower(r.Host)] {
			http.Error(w, "this server answers on its own address only", http.StatusMisdirectedRequest)
			return
		}
		if !ownOrigin(r) {
			http.Error(w, "this server answers its own page only", http.StatusForbidden)
			return
		}
		head := w.Header()
		head.Set("Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		head.Set("X-Content-Type-Options", "nosniff")
		head.Set("X-Frame-Options", "DENY")
		head.Set("Referrer-Policy", "no-referrer")
		head.Set("Cross-Origin-Opener-Policy", "same-origin")
		head.Set("Cross-Origin-Resource-Policy", "same-origin")
		r.Body = http.MaxBytesReader(w, r.Body, bodyLimit)
		next.ServeHTTP(w, r)
	})
}

// ownOrigin says whether the request may come from our page: browsers mark those of other pages.
func ownOrigin(r *http.Request) bool {
	if site := r.Header.Get("Sec-Fetch-Site"); site != "" && site != "same-origin" && site != "none" {
		return false
	}
	origin := r.Header.Get("Origin")
	if origin == "" {
		// A browser always names the origin of a request that can change something; a command-line client may not.
		return r.Method == http.MethodGet || r.Method == http.MethodHead || r.Header.Get("Sec-Fetch-Site") == "same-origin"
	}
	u, err := url.Parse(origin)
	return err == nil && u.Scheme == "http" && strings.EqualFold(u.Host, r.Host)
}
