package main

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"

	"github.com/spf13/cobra"
)

// band is a span of par for finding the cause, in bench minutes; to is not in it.
type band struct {
	name     string
	from, to float64
}

// levels are the bands that have names. They part the exercises that ship with the program in about three: common practice, no
// source.
func levels() []band {
	return []band{{"easy", 0, 1.5}, {"medium", 1.5, 3.5}, {"hard", 3.5, math.Inf(1)}}
}

func (b band) holds(minutes float64) bool { return b.from <= minutes && minutes < b.to }

func (b band) String() string {
	span := fmt.Sprintf("%g to %g minutes", b.from, b.to)
	switch {
	case math.IsInf(b.to, 1):
		span = fmt.Sprintf("%g minutes and more", b.from)
	case b.from == 0:
		span = fmt.Sprintf("less than %g minutes", b.to)
	}
	if b.name == "" {
		return span
	}
	return b.name + " (" + span + ")"
}

// drawOptions are the flags of draw.
type drawOptions struct {
	from
	folder, answers, level, minutes, mode string
	seed                                  uint64
	count                                 int
	kinds                                 []string
}

// mostDrawn bounds a set: far more than a class has places, and all that a small harness can give.
const mostDrawn = 50

func newDraw() *cobra.Command {
	o := &drawOptions{}
	cmd := &cobra.Command{
		Use:   "draw HARNESS",
		Short: "make a set of exercises from a harness, with an answer sheet for the instructor",
		Long: `Draw makes exercises from a harness (an id, or a harness file): each with another fault
that shows in the normal-operation check, that the meter and the eye can isolate, and
whose par for finding the cause lies in the band asked for. The complaint is what the
simulation shows amiss, as a customer would say it.

The exercises go into a new folder, for trainees: drill, check and grade take it with
--from. The faults are sealed there; no command tells them before a job is closed, and
nobody reads them in passing. A seal is no lock, though: whoever takes the program's
source to it can open it. The answer sheet lies beside the folder, never in it: keep
it to yourself, with the seed, from which the same set can be made again.

  easy    par for finding the cause is below 1.5 bench minutes
  medium  from 1.5 to 3.5
  hard    3.5 and more

Likelier faults come up more often. Each fault takes some seconds to try.

  faultloom draw dt14-work-lamps --count 8 --level easy -o monday
  faultloom draw my-scenarios/winch.yaml --minutes 2-5 --kinds corroded,backed-out`,
		Args: number("harness"),
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	o.flag(cmd)
	fs := cmd.Flags()
	fs.StringVarP(&o.folder, "output", "o", "", "the new `folder` for trainees (default: named after the harness)")
	fs.StringVar(&o.answers, "answers", "", "the instructor's answer sheet, a Markdown `file` (default: the folder's name with -answers.md)")
	fs.IntVarP(&o.count, "count", "n", 5, "how many exercises")
	fs.StringVar(&o.level, "level", "medium", "easy, medium or hard")
	fs.StringVar(&o.minutes, "minutes", "", "par for finding the cause from this to that many bench minutes (`2-5`) instead of a level")
	fs.Uint64Var(&o.seed, "seed", 0, "make the set of this `number` again (default: a new one)")
	fs.StringSliceVar(&o.kinds, "kinds", nil, "only `kinds` of fault from this list: open,corroded")
	fs.StringVar(&o.mode, "mode", string(attempt.Graded), "graded, or drill where the coach may be asked")
	return cmd
}

// band is what was asked for.
func (o *drawOptions) band(cmd *cobra.Command) (band, error) {
	if o.minutes != "" {
		if cmd.Flags().Changed("level") {
			return band{}, fmt.Errorf("give --level or --minutes, not both (got %q and %q)", o.level, o.minutes)
		}
		from, to, ok := strings.Cut(o.minutes, "-")
		a, bad := strconv.ParseFloat(strings.TrimSpace(from), 64)
		b, worse := strconv.ParseFloat(strings.TrimSpace(to), 64)
		if !ok || bad != nil || worse != nil || !(0 <= a && a < b && b <= 600) {
			return band{}, fmt.Errorf("--minutes must be from-to with from below to, such as 2-5 (got %q)", o.minutes)
		}
		return band{"", a, b}, nil
	}
	var names []string
	for _, l := range levels() {
		if l.name == o.level {
			return l, nil
		}
		names = append(names, l.name)
	}
	return band{}, choice("level", o.level, names...)
}

func (o *drawOptions) run(cmd *cobra.Command, arg string) error {
	within, err := o.band(cmd)
	if err != nil {
		return err
	}
	if o.count < 1 || o.count > mostDrawn {
		return fmt.Errorf("--count must be from 1 to %d (got %d)", mostDrawn, o.count)
	}
	if err := choice("mode", o.mode, string(attempt.Drill), string(attempt.Graded)); err != nil {
		return err
	}
	src, err := o.source(cmd.ErrOrStderr(), arg)
	if err != nil {
		return err
	}
	if o.folder == "" {
		o.folder = src.harness.ID + "-set"
	}
	if o.answers == "" {
		o.answers = strings.TrimRight(o.folder, `/\`) + "-answers.md"
	}
	if err := free(o.folder, o.answers); err != nil {
		return inputError(err)
	}
	if !cmd.Flags().Changed("seed") {
		if o.seed, err = newSeed(); err != nil {
			return runError(err)
		}
	}
	set := &drawing{harness: src.harness, file: src.base(), seed: o.seed, mode: attempt.Mode(o.mode), band: within}
	set.tag = tagOf(o.seed, src.harness.ID, within, o.kinds)
	for _, k := range o.kinds {
		set.kinds = append(set.kinds, fault.Kind(k))
	}
	if err := set.pick(o.count, cmd.ErrOrStderr()); err != nil {
		return inputError(err)
	}
	sheet, err := set.answers(o.again(arg))
	if err != nil {
		return inputError(err)
	}
	if err := set.write(src, o.folder, o.answers, sheet); err != nil {
		return runError(err)
	}
	fmt.Fprintf(cmd.OutOrStdout(), "%s for trainees in %s\nThe answer sheet is %s: keep it to yourself.\n", count(len(set.drawn), "exercise"), o.folder, o.answers)
	return nil
}

// again is the command that makes the same set.
func (o *drawOptions) again(arg string) string {
	text := fmt.Sprintf("faultloom draw %s --seed %d --count %d", arg, o.seed, o.count)
	if o.minutes != "" {
		text += " --minutes " + o.minutes
	} else {
		text += " --level " + o.level
	}
	if len(o.kinds) > 0 {
		text += " --kinds " + strings.Join(o.kinds, ",")
	}
	if o.dir != "" {
		text += " --from " + o.dir
	}
	return text + " --mode " + o.mode
}

// newSeed returns a number that nobody guesses: who knows it can make the answer sheet.
func newSeed() (uint64, error) {
	var b [8]byte
	_, err := rand.Read(b[:])
	return binary.LittleEndian.Uint64(b[:]), err
}

// tagOf names a set without telling its seed.
func tagOf(seed uint64, harness string, b band, kinds []string) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "set %d of %s, %v, %q", seed, harness, b, kinds))
	return strings.ToLower(base32.StdEncoding.EncodeToString(sum[:])[:5])
}

// free reports what stands in the way of a new folder and a new answer sheet beside it.
func free(folder, answers string) error {
	for _, name := range []string{folder, answers} {
		if _, err := os.Lstat(name); err == nil {
			return fmt.Errorf("%s is there already, and nothing is overwritten: name another with --output or --answers", name)
		}
	}
	dir, err := filepath.Abs(folder)
	if err != nil {
		return err
	}
	sheet, err := filepath.Abs(answers)
	if err != nil {
		return err
	}
	if rest, err := filepath.Rel(dir, sheet); err == nil && rest != ".." && !strings.HasPrefix(rest, ".."+string(filepath.Separator)) {
		return fmt.Errorf("the answer sheet %s would lie in the folder that trainees get: put it elsewhere with --answers", answers)
	}
	for _, name := range []string{dir, sheet} {
		if info, err := os.Stat(filepath.Dir(name)); err != nil || !info.IsDir() {
			return fmt.Errorf("there is no folder %s for %s; make it first", filepath.Dir(name), filepath.Base(name))
		}
	}
	return nil
}
