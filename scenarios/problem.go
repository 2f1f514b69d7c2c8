package scenarios

import (
	"fmt"
	"sort"
	"strings"
)

// maxProblems bounds how many problems one load reports: past this a file is not a slip away from being right, and a
// screen full of lines helps nobody.
const maxProblems = 200

// Problem is one thing that is wrong in a file, at a place. Line and Column count from 1; Line 0 means the whole file.
type Problem struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Message string `json:"message"` // names what it is about, the value, and what would be right
}

// String returns "file:line:column: message", the form that editors jump to.
func (p Problem) String() string {
	if p.Line == 0 {
		return p.File + ": " + p.Message
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Message)
}

// Problems is everything found wrong in one go, sorted by file, line and column. It is the error type of every loading
// function of this package.
type Problems []Problem

// Error returns one line per problem.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// tidy sorts, drops repeats and cuts the list to maxProblems, saying how many were left out.
func (ps Problems) tidy() Problems {
	sort.SliceStable(ps, func(i, j int) bool {
		a, b := ps[i], ps[j]
		switch {
		case a.File != b.File:
			return a.File < b.File
		case a.Line != b.Line:
			return a.Line < b.Line
		case a.Column != b.Column:
			return a.Column < b.Column
		}
		return a.Message < b.Message
	})
	out := ps[:0]
	for i, p := range ps {
		if i == 0 || p != ps[i-1] {
			out = append(out, p)
		}
	}
	if len(out) > maxProblems {
		last := out[maxProblems]
		more := len(out) - maxProblems
		out = append(out[:maxProblems], Problem{File: last.File, Line: last.Line, Column: last.Column,
			Message: fmt.Sprintf("and %d more problems from here on", more)})
	}
	return out
}

// orNil returns ps as an error, nil when there are none.
func (ps Problems) orNil() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}
