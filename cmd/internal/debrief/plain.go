package debrief

import (
	"slices"

	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
)

// plain returns the report with all its sentences as people read them: in logs and reports as data the words for what is noticed are
// single ones, such as misses-some. r stays as it is.
func plain(r *grading.Report) *grading.Report {
	out := *r
	out.Stages = slices.Clone(r.Stages)
	for i := range out.Stages {
		items := slices.Clone(out.Stages[i].Items)
		for k := range items {
			items[k].Text = sheet.Reads(items[k].Text)
		}
		out.Stages[i].Items = items
	}
	out.Beside = slices.Clone(r.Beside)
	for i := range out.Beside {
		out.Beside[i] = sheet.Reads(out.Beside[i])
	}
	out.Steps = slices.Clone(r.Steps)
	for i := range out.Steps {
		s := &out.Steps[i]
		s.Showed, s.Remark, s.Evidence.Told = sheet.Reads(s.Showed), sheet.Reads(s.Remark), sheet.Reads(s.Evidence.Told)
	}
	return &out
}
