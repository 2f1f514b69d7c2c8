package sheet_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"faultloom/cmd/internal/sheet"
	"faultloom/sim/device"
)

func TestWordsReadWithoutHyphens(t *testing.T) {
	assert.Equal(t, "misses some", sheet.Said(device.Effect{Word: "misses-some"}))
	assert.Equal(t, "Key switch to on — Gearbox unit: misses some; X1 plugged-in", sheet.Reads("Key switch to on — Gearbox unit: misses-some; X1 plugged-in"),
		"only words for what is noticed are changed")
	for _, k := range device.Kinds() {
		for _, w := range k.Words {
			assert.NotContains(t, sheet.Said(device.Effect{Word: w}), "-", k.Title)
		}
	}
}
