// Package report holds the templates of printed reports.
package report

import _ "embed"

// Debrief is the html/template of a graded debrief: one self-contained page that prints well.
//
//go:embed debrief.html
var Debrief string
