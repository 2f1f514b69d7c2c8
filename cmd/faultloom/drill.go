package main

import (
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"faultloom/assets"
	"faultloom/cmd/internal/bundle"
	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/serve"
	"faultloom/cmd/internal/store"
	"faultloom/cmd/internal/wire"

	"github.com/spf13/cobra"
)

// drillOptions are the flags of drill.
type drillOptions struct {
	from
	data, bundle string
	port         int
	quiet        bool
}

func newDrill() *cobra.Command {
	o := &drillOptions{}
	cmd := &cobra.Command{
		Use:   "drill [EXERCISE]",
		Short: "open the bench in a browser (what faultloom does by itself)",
		Long: `Drill opens the bench in your browser, at a list of exercises or at the one named.

The bench for the browser is built once with the Go on this machine and kept in a
cache. It is served on this machine's loopback address, to this machine only. Your
attempts are kept in your data folder; every action is on disk before it shows, so
you can stop at any moment and go on later. Stop the program with Ctrl+C.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fmt.Errorf("one exercise at a time (got %s)", strings.Join(args, " and "))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args) },
	}
	o.flag(cmd)
	dataFlag(cmd, &o.data)
	cmd.Flags().StringVar(&o.bundle, "bundle", "", "show the built bench in this `folder` instead of building it")
	cmd.Flags().IntVar(&o.port, "port", 0, "serve on this `port` (default: any that is free)")
	cmd.Flags().BoolVar(&o.quiet, "no-open", false, "print the address and do not open a browser")
	return cmd
}

func dataFlag(cmd *cobra.Command, dir *string) {
	cmd.Flags().StringVar(dir, "data", "", "keep attempts in this `folder` (default: $FAULTLOOM_DATA, else faultloom among your user data)")
}

func (o *drillOptions) run(cmd *cobra.Command, args []string) error {
	ctx, out := cmd.Context(), cmd.OutOrStdout()
	lib, err := o.library(cmd.ErrOrStderr())
	switch {
	case err != nil:
		return err
	case len(args) == 1 && lib.Exercise(args[0]) == nil:
		return inputError(unknown("exercise", args[0], lib.exerciseIDs()))
	case len(lib.Exercises) == 0 && lib.bad > 0:
		return lib.err()
	case len(lib.Exercises) == 0:
		return inputError(fmt.Errorf("there is no exercise in %s", o.dir))
	case lib.bad > 0:
		fmt.Fprintln(cmd.ErrOrStderr(), "faultloom: the files above are left out; the rest can be drilled")
	}
	d, err := openDesk(lib, o.data)
	if err != nil {
		return runError(err)
	}
	defer d.Close()
	built := o.bundle
	if built == "" {
		if built, err = ensureBundle(ctx, out); err != nil {
			return runError(err)
		}
	}
	s, err := serve.Listen(o.port, serve.Site{Desk: d, Page: assets.Page(), Bundle: built})
	if err != nil {
		return runError(err)
	}
	address := s.URL()
	if len(args) == 1 {
		address += "?" + url.Values{wire.ExerciseQuery: {args[0]}}.Encode()
	}
	fmt.Fprintf(out, "The bench is at %s\nYour attempts are kept in %s\nStop it with Ctrl+C; every step is on disk already.\n", address, d.Dir())
	if !o.quiet && !openBrowser(address) {
		fmt.Fprintln(out, "Open that address in a browser on this machine.")
	}
	return runError(s.Serve(ctx))
}

// openDesk opens the folder of attempts ("" = this user's own) over a library.
func openDesk(lib *library, dir string) (*desk.Desk, error) {
	if dir == "" {
		var err error
		if dir, err = store.DefaultDir(); err != nil {
			return nil, err
		}
	}
	s, err := store.Open(dir)
	if err != nil {
		return nil, err
	}
	return desk.New(lib.Library, s, time.Now), nil
}

// ensureBundle builds the bench unless the cache has it, telling how far it is.
func ensureBundle(ctx context.Context, out io.Writer) (string, error) {
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	begun, last := false, -1
	dir, err := bundle.Ensure(ctx, "", filepath.Join(cache, "faultloom", "bench"), func(done, total int, what string) {
		if !begun {
			fmt.Fprintln(out, "Building the bench for your browser. This happens once and takes a minute or so.")
			begun = true
		}
		if tenth := 10 * done / max(total, 1); tenth != last {
			last = tenth
			fmt.Fprintf(out, "  %3d %%  %s\n", 10*tenth, what)
		}
	})
	return dir, err
}

// openBrowser asks the system to show an address and reports whether there was something to ask.
func openBrowser(address string) bool {
	var cmd *exec.Cmd
	switch runtime.GOOS {
	case "windows":
		cmd = exec.Command("rundll32", "url.dll,FileProtocolHandler", address)
	case "darwin":
		cmd = exec.Command("open", address)
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return false
		}
		cmd = exec.Command("xdg-open", address)
	}
	if cmd.Start() != nil {
		return false
	}
	go cmd.Wait()
	return true
}
