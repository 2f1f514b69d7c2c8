package assets_test

import (
	"io/fs"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/assets"
)

// TestPage holds the page to what a strict content policy allows and what works without a network: no script or style
// in the markup, nothing from elsewhere, and every file that it names is there.
func TestPage(t *testing.T) {
	page := assets.Page()
	html, err := fs.ReadFile(page, "index.html")
	require.NoError(t, err)
	text := string(html)
	assert.NotRegexp(t, `<script[^>]*>\s*[^<\s]`, text, "no script in the page itself")
	assert.NotRegexp(t, `\sstyle=|<style|\son[a-z]+=`, text, "no style or handler in the markup")
	built := map[string]bool{"wasm_exec.js": true} // added by whoever serves the page
	for _, m := range regexp.MustCompile(`(?:src|href)="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		name := m[1]
		assert.False(t, strings.Contains(name, ":") || strings.HasPrefix(name, "/"), "%q is beside the page", name)
		if !built[name] {
			_, err := fs.Stat(page, name)
			assert.NoError(t, err, "%q is there", name)
		}
	}
	require.NoError(t, fs.WalkDir(page, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(page, path)
		for _, far := range []string{"http://", "https://", "eval(", "new Function"} {
			if path == "icon.svg" && far == "http://" {
				continue // the name of the SVG namespace
			}
			assert.NotContains(t, string(data), far, "%s asks nothing from elsewhere and makes no code", path)
		}
		return err
	}))
}
