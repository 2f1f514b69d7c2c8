package scenarios

import (
	"fmt"
	"strings"
)

// maxListed is how many choices a message lists before it only gives the nearest.
const maxListed = 14

// nearest returns the choice that a slip of the fingers most likely turned into got, or "" when none is near: at most
// one slip in words of up to 4 letters, two up to 8, three above. Case does not count.
func nearest(got string, choices []string) string {
	best, bestSlips := "", 1<<30
	low := strings.ToLower(got)
	for _, c := range choices {
		d := slips(low, strings.ToLower(c))
		if d < bestSlips {
			best, bestSlips = c, d
		}
	}
	n := max(len([]rune(got)), len([]rune(best)))
	allowed := 3
	switch {
	case n <= 4:
		allowed = 1
	case n <= 8:
		allowed = 2
	}
	if best == "" || bestSlips > allowed {
		return ""
	}
	return best
}

// slips counts insertions, deletions, replacements and swaps of neighbours that turn a into b (optimal string alignment).
// Long words are cut to 64 letters: this is for spelling mistakes, not for prose.
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 64 {
		x = x[:64]
	}
	if len(y) > 64 {
		y = y[:64]
	}
	two := make([]int, len(y)+1)
	one := make([]int, len(y)+1)
	now := make([]int, len(y)+1)
	for j := range one {
		one[j] = j
	}
	for i := 1; i <= len(x); i++ {
		now[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			now[j] = min(one[j]+1, now[j-1]+1, one[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				now[j] = min(now[j], two[j-2]+1)
			}
		}
		two, one, now = one, now, two
	}
	return one[len(y)]
}

// instead says what to write in place of got: the nearest choice, or the list when it is short, or nothing.
func instead(got string, choices []string) string {
	if n := nearest(got, choices); n != "" {
		return fmt.Sprintf("; did you mean %q?", n)
	}
	if len(choices) == 0 {
		return ""
	}
	if len(choices) <= maxListed {
		return "; it can be " + orList(choices)
	}
	return ""
}

// orList joins words as people do: "a, b or c".
func orList(words []string) string { return joinWords(words, "or") }

// andList joins words as people do: "a, b and c".
func andList(words []string) string { return joinWords(words, "and") }

func joinWords(words []string, last string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}
