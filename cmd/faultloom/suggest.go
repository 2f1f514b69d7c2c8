package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// listed is how many names an error lists; of more only the nearest are given.
const listed = 8

// unknown says what there is instead of what was asked for.
func unknown(what, id string, known []string) error {
	switch {
	case len(known) == 0:
		return fmt.Errorf("there is no %s %q: there are none at all in these files", what, id)
	case len(known) <= listed:
		return fmt.Errorf("there is no %s %q; there are: %s", what, id, strings.Join(known, ", "))
	}
	near := slices.Clone(known)
	slices.SortStableFunc(near, func(a, b string) int { return cmp.Compare(distance(id, a), distance(id, b)) })
	return fmt.Errorf("there is no %s %q; nearest are: %s (faultloom list names all)", what, id, strings.Join(near[:3], ", "))
}

// distance is how many letters have to be put in, taken out or changed to make b of a (V. Levenshtein, 1966); letters of b
// that follow after all of a count little, so that a name only begun is near.
func distance(a, b string) float64 {
	const more = 0.1
	x, y := []rune(strings.ToLower(a)), []rune(strings.ToLower(b))
	row := make([]float64, len(y)+1)
	for j := range row {
		row[j] = float64(j)
	}
	for i := range x {
		diagonal := row[0]
		row[0]++
		for j := range y {
			change := diagonal
			if x[i] != y[j] {
				change++
			}
			put := 1.0
			if i == len(x)-1 {
				put = more
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j+1]+1, row[j]+put)
		}
	}
	return row[len(y)]
}
