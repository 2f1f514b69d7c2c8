package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

const rootHelp = `Faultloom is a training simulator for people who find electrical faults in vehicles.

With no command it opens the bench in your browser: pick an exercise, confirm the
complaint, find the cause with the meter, repair it, and prove it.

Exit codes:
  0  done
  1  done, but what was looked at is not in order
  2  the command line is not understood
  3  a file is missing, damaged or wrong
  4  this machine would not: no port, no Go, no disk
Errors go to standard error, results to standard output.

The simulator teaches a method. On a real vehicle follow its maker's procedure,
local codes and your workshop's rules; some work needs a licensed person.`

func newRoot() *cobra.Command {
	drill := newDrill()
	root := &cobra.Command{
		Use:           "faultloom",
		Short:         "a training simulator for finding electrical faults in vehicles",
		Long:          rootHelp,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return fmt.Errorf("there is no command %q (an exercise is opened with: faultloom drill %s)", args[0], args[0])
			}
			return nil
		},
		RunE: drill.RunE,
	}
	root.Flags().AddFlagSet(drill.Flags())
	root.CompletionOptions.HiddenDefaultCmd = true
	root.AddCommand(drill, newList(), newCheck(), newDraw(), newGrade(), newExplain(), newReplay(), newReadings(), newSheet(),
		newJudge(), newPublished())
	root.InitDefaultHelpCmd()
	if help, _, err := root.Find([]string{"help"}); err == nil {
		help.Short = "tell more about a command"
	}
	return root
}

// number checks how many arguments a command gets; names are what they are, in the singular.
func number(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < len(names):
			return fmt.Errorf("%s: name %s: %s", cmd.Name(), article(names[len(args)]), cmd.UseLine())
		case len(args) > len(names):
			return fmt.Errorf("%s: %q is one too many: %s", cmd.Name(), args[len(names)], cmd.UseLine())
		}
		return nil
	}
}

func article(noun string) string {
	if strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// choice checks a flag's value against what it can be.
func choice(flag, value string, allowed ...string) error {
	if slices.Contains(allowed, value) {
		return nil
	}
	last := len(allowed) - 1
	return fmt.Errorf("--%s must be %s or %s (got %q)", flag, strings.Join(allowed[:last], ", "), allowed[last], value)
}
