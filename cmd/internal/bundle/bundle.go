// Package bundle builds the bench for the browser with the Go on this machine, once, and keeps it in a cache.
package bundle

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"sort"
	"strings"
	"time"
)

// Files are the parts of a bundle in a folder.
const (
	WasmName = "bench.wasm.gz" // the program, compressed
	ExecName = "wasm_exec.js"  // the loader that belongs to the Go it was built with
)

// module is this program's own, whose source the bench is built from.
const module = "faultloom"

// sources are the folders of the module that the bench is built from.
var sources = [...]string{"cmd/bench", "cmd/internal", "sim", "grading", "assets"}

// Progress hears how a build goes: done of total packages, and a word for people.
type Progress func(done, total int, what string)

// Ensure returns a folder that holds the bundle for the present source, building it when the cache has none. source is
// the module's folder ("" = FindSource), cache the folder to keep bundles in. The build can be stopped through ctx;
// nothing half-built is ever left under the returned name.
func Ensure(ctx context.Context, source, cache string, progress Progress) (string, error) {
	if source == "" {
		dir, err := FindSource(ctx)
		if err != nil {
			return "", err
		}
		source = dir
	}
	key, err := digest(ctx, source)
	if err != nil {
		return "", err
	}
	dir := filepath.Join(cache, key)
	if complete(dir) {
		now := time.Now()
		_ = os.Chtimes(dir, now, now) // in use: not to be tidied away
		return dir, nil
	}
	if err := os.MkdirAll(cache, 0o755); err != nil {
		return "", fmt.Errorf("bundle cache: %w", err)
	}
	work, err := os.MkdirTemp(cache, workPrefix)
	if err != nil {
		return "", fmt.Errorf("bundle cache: %w", err)
	}
	defer os.RemoveAll(work)
	if err := build(ctx, source, work, progress); err != nil {
		return "", err
	}
	if err := os.Chmod(work, 0o755); err != nil {
		return "", fmt.Errorf("bundle cache: %w", err)
	}
	if !complete(dir) {
		os.RemoveAll(dir) // someone took a part of it away
	}
	if err := os.Rename(work, dir); err != nil && !complete(dir) { // another process may have finished first
		return "", fmt.Errorf("bundle cache: %w", err)
	}
	tidy(cache, time.Now().Add(-keepFor))
	return dir, nil
}

// workPrefix begins the names of folders in which a build is under way.
const workPrefix = "building-"

// keepFor is how long a bundle is kept that nobody uses: someone may go back and forth between two versions of the source.
const keepFor = 30 * 24 * time.Hour

// tidy removes from a cache what was last used before a time: bundles of older source, and what builds left that were killed.
// Only names of this package's making are touched.
func tidy(cache string, before time.Time) {
	entries, err := os.ReadDir(cache)
	if err != nil {
		return
	}
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !e.IsDir() || !info.ModTime().Before(before) {
			continue
		}
		_, err = hex.DecodeString(e.Name())
		if strings.HasPrefix(e.Name(), workPrefix) || err == nil && len(e.Name()) == 2*keyBytes {
			os.RemoveAll(filepath.Join(cache, e.Name()))
		}
	}
}

// FindSource returns the folder of this program's source: the module that the working folder is in, else where the program
// was built from, if it is still there.
func FindSource(ctx context.Context) (string, error) {
	out, err := exec.CommandContext(ctx, "go", "list", "-m", "-f", "{{.Path}} {{.Dir}}").Output()
	if errors.Is(err, exec.ErrNotFound) {
		return "", errors.New("no go command on the path: the bench for the browser is built with it (or give --bundle a folder that holds one)")
	}
	path, dir, _ := strings.Cut(strings.TrimSpace(string(out)), " ")
	if err == nil && path == module && dir != "" {
		return dir, nil
	}
	if dir := builtFrom(); dir != "" {
		return dir, nil
	}
	return "", errors.New("run this from a folder of the faultloom source, or give --bundle a folder that holds a built bench")
}

// builtFrom is the folder that this package was compiled in, "" when it is gone or was not recorded.
func builtFrom() string {
	_, file, _, ok := runtime.Caller(0)
	dir := filepath.Dir(filepath.Dir(filepath.Dir(filepath.Dir(file))))
	if !ok || !filepath.IsAbs(dir) {
		return ""
	}
	mod, err := os.ReadFile(filepath.Join(dir, "go.mod"))
	if err != nil || !strings.HasPrefix(string(mod), "module "+module+"\n") {
		return ""
	}
	return dir
}

func complete(dir string) bool {
	for _, name := range []string{WasmName, ExecName} {
		if info, err := os.Stat(filepath.Join(dir, name)); err != nil || info.Size() == 0 {
			return false
		}
	}
	return true
}

// digest names a bundle after everything that it is made from, the Go version included.
func digest(ctx context.Context, source string) (string, error) {
	version, err := goEnv(ctx, source, "GOVERSION")
	if err != nil {
		return "", err
	}
	sum := sha256.New()
	fmt.Fprintln(sum, version)
	var files []string
	for _, folder := range sources {
		err := filepath.WalkDir(filepath.Join(source, folder), func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && d.Name() == "testdata" {
				return filepath.SkipDir
			}
			if d.Type().IsRegular() && !strings.HasSuffix(path, "_test.go") {
				files = append(files, path)
			}
			return nil
		})
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", fmt.Errorf("reading the source of the bench: %w", err)
		}
	}
	files = append(files, filepath.Join(source, "go.mod"), filepath.Join(source, "go.sum"))
	sort.Strings(files)
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			return "", fmt.Errorf("reading the source of the bench: %w", err)
		}
		rel, _ := filepath.Rel(source, path)
		fmt.Fprintf(sum, "%s %d\n", filepath.ToSlash(rel), len(data))
		sum.Write(data)
	}
	return hex.EncodeToString(sum.Sum(nil)[:keyBytes]), nil
}

// keyBytes is how much of a digest names a bundle.
const keyBytes = 12

// goEnv asks the Go that builds in source: a go.mod may call for another than the one on the path.
func goEnv(ctx context.Context, source, name string) (string, error) {
	cmd := exec.CommandContext(ctx, "go", "env", name)
	cmd.Dir = source
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("go env %s: %w", name, err)
	}
	return strings.TrimSpace(string(out)), nil
}

// build compiles the bench into dir and puts the loader beside it.
func build(ctx context.Context, source, dir string, progress Progress) error {
	env := append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	total := packages(ctx, source, env)
	raw := filepath.Join(dir, "bench.wasm")
	cmd := exec.CommandContext(ctx, "go", "build", "-v", "-trimpath", "-ldflags", "-s -w", "-o", raw, module+"/cmd/bench")
	cmd.Dir, cmd.Env = source, env
	pipe, err := cmd.StderrPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("go build: %w", err)
	}
	var said []string
	lines := bufio.NewScanner(pipe)
	for done := 0; lines.Scan(); {
		done++
		said = append(said, lines.Text())
		if progress != nil {
			progress(min(done, total), total, "compiling the bench")
		}
	}
	if err := cmd.Wait(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return fmt.Errorf("building the bench for the browser failed: %w\n%s", err, strings.Join(said[max(0, len(said)-20):], "\n"))
	}
	if progress != nil {
		progress(total, total, "compressing")
	}
	if err := pack(raw, filepath.Join(dir, WasmName)); err != nil {
		return err
	}
	return loader(ctx, source, filepath.Join(dir, ExecName))
}

// packages counts what a build from nothing would compile; a warm build compiles fewer.
func packages(ctx context.Context, source string, env []string) int {
	cmd := exec.CommandContext(ctx, "go", "list", "-deps", module+"/cmd/bench")
	cmd.Dir, cmd.Env = source, env
	out, err := cmd.Output()
	if err != nil {
		return 1
	}
	return max(1, bytes.Count(out, []byte("\n")))
}

// pack compresses from into to and removes from.
func pack(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	defer out.Close()
	zip, err := gzip.NewWriterLevel(out, gzip.BestCompression)
	if err != nil {
		return err
	}
	if _, err := io.Copy(zip, in); err != nil {
		return fmt.Errorf("compressing the bench: %w", err)
	}
	if err := zip.Close(); err != nil {
		return fmt.Errorf("compressing the bench: %w", err)
	}
	if err := out.Close(); err != nil {
		return err
	}
	return os.Remove(from)
}

// loader copies the script that starts a Go program in a page; it must be of the same Go.
func loader(ctx context.Context, source, to string) error {
	root, err := goEnv(ctx, source, "GOROOT")
	if err != nil {
		return err
	}
	for _, place := range []string{"lib/wasm", "misc/wasm"} {
		data, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(place), ExecName))
		if err == nil {
			return os.WriteFile(to, data, 0o644)
		}
	}
	return fmt.Errorf("%s is not in the Go installation at %s", ExecName, root)
}
