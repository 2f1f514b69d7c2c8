package scenarios

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"faultloom/sim/device"
)

// unit is one way to write a dimension. A value in the file is multiplied by times and divided by per, so that parts of a
// unit ("5 mohm") come out as the nearest number to what was written.
type unit struct {
	spelt      string
	dim        device.Dim
	times, per float64
}

// units returns every spelling that files may use; the first of each dimension is the one that messages suggest.
func units() []unit {
	return []unit{
		{"V", device.Volt, 1, 1}, {"mV", device.Volt, 1, 1000}, {"kV", device.Volt, 1000, 1},
		{"A", device.Ampere, 1, 1}, {"mA", device.Ampere, 1, 1000}, {"uA", device.Ampere, 1, 1e6}, {"µA", device.Ampere, 1, 1e6},
		{"ohm", device.Ohm, 1, 1}, {"mohm", device.Ohm, 1, 1000}, {"kohm", device.Ohm, 1000, 1}, {"Mohm", device.Ohm, 1e6, 1},
		{"Ω", device.Ohm, 1, 1}, {"mΩ", device.Ohm, 1, 1000}, {"kΩ", device.Ohm, 1000, 1}, {"MΩ", device.Ohm, 1e6, 1},
		{"W", device.Watt, 1, 1}, {"mW", device.Watt, 1, 1000}, {"kW", device.Watt, 1000, 1},
		{"m", device.Metre, 1, 1}, {"cm", device.Metre, 1, 100}, {"mm", device.Metre, 1, 1000},
		{"mm2", device.SquareMM, 1, 1}, {"mm²", device.SquareMM, 1, 1},
		{"s", device.Second, 1, 1}, {"ms", device.Second, 1, 1000}, {"min", device.Second, 60, 1},
		{"h", device.Second, 3600, 1}, {"days", device.Second, 86400, 1}, {"day", device.Second, 86400, 1},
		{"degC", device.Celsius, 1, 1}, {"°C", device.Celsius, 1, 1},
		{"%", device.Percent, 1, 1},
		{"H", device.Henry, 1, 1}, {"mH", device.Henry, 1, 1000}, {"uH", device.Henry, 1, 1e6}, {"µH", device.Henry, 1, 1e6},
		{"F", device.Farad, 1, 1}, {"mF", device.Farad, 1, 1000}, {"uF", device.Farad, 1, 1e6}, {"µF", device.Farad, 1, 1e6},
		{"nF", device.Farad, 1, 1e9},
		{"Hz", device.Hertz, 1, 1}, {"kHz", device.Hertz, 1000, 1},
		{"rpm", device.RevPerMinute, 1, 1},
		{"Ah", device.AmpereHour, 1, 1},
	}
}

// spellings returns the ways to write dim, in the order of units.
func spellings(dim device.Dim) []string {
	var out []string
	for _, u := range units() {
		if u.dim == dim {
			out = append(out, u.spelt)
		}
	}
	return out
}

// quantityForm splits "1.5 mm2" into its number and its unit; the space is optional.
var quantityForm = regexp.MustCompile(`^([+-]?[0-9]+(?:\.[0-9]+)?|[+-]?\.[0-9]+)\s*([^\s0-9+.-][^\s]*)?$`)

// parseQuantity reads text as a quantity of dim and returns it in the dimension's own unit. The complaint, "" when all is
// well, says what is wrong and what would be right; it does not repeat text.
func parseQuantity(text string, dim device.Dim) (value float64, complaint string) {
	text = strings.TrimSpace(text)
	example := "a number such as 2"
	if dim != device.None {
		example = "a number and its unit, such as 2 " + string(dim)
	}
	m := quantityForm.FindStringSubmatch(text)
	if m == nil {
		if strings.Contains(text, ",") {
			if fixed := strings.ReplaceAll(text, ",", "."); quantityForm.MatchString(fixed) {
				return 0, fmt.Sprintf("wants a decimal point, not a comma: %s", fixed)
			}
		}
		return 0, "is not " + example
	}
	number, err := strconv.ParseFloat(m[1], 64)
	if err != nil || math.IsInf(number, 0) || math.IsNaN(number) {
		return 0, "is too large a number"
	}
	spelt := m[2]
	if dim == device.None {
		if spelt != "" {
			return 0, fmt.Sprintf("takes a plain number without a unit: %s", m[1])
		}
		return number, ""
	}
	if spelt == "" {
		return 0, fmt.Sprintf("has no unit; write %s %s", m[1], dim)
	}
	for _, u := range units() {
		if u.spelt != spelt {
			continue
		}
		if u.dim == dim {
			return number * u.times / u.per, ""
		}
		return 0, fmt.Sprintf("is in %s, but must be in %s", spelt, orList(spellings(dim)))
	}
	return 0, fmt.Sprintf("has the unknown unit %q; it must be in %s", spelt, orList(spellings(dim)))
}

// showQuantity writes a value for messages and the guide: "2.5 mm2". Whole days are written as such.
func showQuantity(v float64, dim device.Dim) string {
	const day = 86400
	if dim == device.Second && v >= day && math.Mod(v, day) == 0 {
		return strconv.FormatFloat(v/day, 'f', -1, 64) + " days"
	}
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if dim == device.None {
		return s
	}
	return s + " " + string(dim)
}
