package audit

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// unit turns a shop's unit into the one that a field is in.
type unit struct{ factor, offset float64 }

// units are the words for units by the ending of the field's name. Factors are
// exact by ISO 80000 or by the international yard and pound; a millimetre of water
// is 9.80665 Pa, a cubic foot per minute 1.699010796 m3/h.
var units = map[string]map[string]unit{
	"_mm":        {"mm": {1, 0}, "cm": {10, 0}, "m": {1000, 0}, "in": {25.4, 0}, "inch": {25.4, 0}, `"`: {25.4, 0}, "″": {25.4, 0}, "ft": {304.8, 0}},
	"_g":         {"g": {1, 0}, "kg": {1000, 0}, "mg": {0.001, 0}, "oz": {28.349523125, 0}, "lb": {453.59237, 0}, "lbs": {453.59237, 0}, "t": {1e6, 0}},
	"_w":         {"w": {1, 0}, "kw": {1000, 0}, "mw": {0.001, 0}},
	"_a":         {"a": {1, 0}, "ma": {0.001, 0}},
	"_v":         {"v": {1, 0}, "kv": {1000, 0}},
	"_l":         {"l": {1, 0}, "litre": {1, 0}, "cm3": {0.001, 0}, "cm³": {0.001, 0}, "dm3": {1, 0}, "ml": {0.001, 0}, "in3": {0.016387064, 0}, "m3": {1000, 0}},
	"_m3h":       {"m3/h": {1, 0}, "m³/h": {1, 0}, "cfm": {1.699010796, 0}, "l/s": {3.6, 0}, "l/min": {0.06, 0}, "m3/min": {60, 0}, "m³/min": {60, 0}},
	"_pa":        {"pa": {1, 0}, "mmh2o": {9.80665, 0}, "mm-h2o": {9.80665, 0}, "mm h2o": {9.80665, 0}, "inh2o": {249.08891, 0}, "hpa": {100, 0}, "mbar": {100, 0}},
	"_rpm":       {"rpm": {1, 0}, "1/min": {1, 0}, "u/min": {1, 0}, "r/min": {1, 0}},
	"_dba":       {"db(a)": {1, 0}, "dba": {1, 0}, "db": {1, 0}},
	"_c":         {"c": {1, 0}, "°c": {1, 0}, "f": {5. / 9, -160. / 9}, "°f": {5. / 9, -160. / 9}, "k": {1, -273.15}},
	"_k":         {"k": {1, 0}, "°c": {1, 0}, "c": {1, 0}, "°f": {5. / 9, 0}},
	"_gb":        {"gb": {1, 0}, "tb": {1000, 0}, "mb": {0.001, 0}},
	"_gbs":       {"gb/s": {1, 0}, "mb/s": {0.001, 0}},
	"_mts":       {"mt/s": {1, 0}, "mhz": {1, 0}},
	"_share":     {"": {1, 0}, "%": {0.01, 0}},
	"efficiency": {"": {1, 0}, "%": {0.01, 0}}, "power_factor": {"": {1, 0}, "%": {0.01, 0}},
}

// unitsOf gives the words for units that a field takes; nil for one without unit.
func unitsOf(field string) map[string]unit {
	best := ""
	for ending := range units {
		if strings.HasSuffix(field, ending) && len(ending) > len(best) {
			best = ending
		}
	}
	return units[best]
}

func unitFor(field, word string) (unit, error) {
	known := unitsOf(field)
	word = strings.ToLower(strings.TrimSpace(word))
	if u, ok := known[word]; ok {
		return u, nil
	}
	if known == nil {
		return unit{}, fmt.Errorf("%s has no unit", field)
	}
	words := make([]string, 0, len(known))
	for w := range known {
		if w != "" {
			words = append(words, w)
		}
	}
	slices.Sort(words)
	return unit{}, fmt.Errorf("%q is no unit of %s; write %s", word, field, strings.Join(words, ", "))
}

// convention is how a table writes numbers.
type convention struct {
	// decimal is '.' or ',', or 0 where each number must tell by itself.
	decimal byte
}

var errAmbiguous = errors.New("it can be read in two ways; say decimal: \".\" or decimal: \",\" in the map")

// number reads a number as people write it, with thousands set apart and a unit
// behind it. word is the unit, empty where there is none.
func (c convention) number(text string) (v float64, word string, err error) {
	text = strings.TrimSpace(strings.ReplaceAll(text, "\u00a0", " "))
	end := 0
	for end < len(text) {
		switch b := text[end]; {
		case b >= '0' && b <= '9', b == '.', b == ',', b == '\'', b == ' ', b == '-' && end == 0, b == '+' && end == 0:
			end++
			continue
		}
		if strings.HasPrefix(text[end:], "\u202f") || strings.HasPrefix(text[end:], "\u2019") {
			end += 3
			continue
		}
		break
	}
	digits, word := strings.TrimSpace(text[:end]), strings.TrimSpace(text[end:])
	plain, err := c.plain(digits)
	if err != nil {
		return 0, "", fmt.Errorf("%q is no number: %w", text, err)
	}
	v, err = strconv.ParseFloat(plain, 64)
	if err != nil {
		return 0, "", fmt.Errorf("%q is no number", text)
	}
	return v, word, nil
}

// plain takes out what sets thousands apart, and makes the decimal mark a point.
func (c convention) plain(s string) (string, error) {
	s = strings.NewReplacer(" ", "", "\u202f", "", "'", "", "\u2019", "").Replace(s)
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	decimal := c.decimal
	switch {
	case decimal != 0:
	case points > 0 && commas > 0:
		decimal = '.'
		if strings.LastIndexByte(s, ',') > strings.LastIndexByte(s, '.') {
			decimal = ','
		}
	case points+commas == 1:
		// "1.234" and "1,234": thousands for some, a fraction for others.
		i := strings.IndexAny(s, ".,")
		if len(s)-i-1 == 3 && i > 0 && s[:i] != "0" && s[:i] != "-0" {
			return "", errAmbiguous
		}
		decimal = s[i]
	case commas > 1:
		decimal = '.'
	case points > 1:
		decimal = ','
	}
	thousands := ","
	if decimal == ',' {
		thousands = "."
	}
	if strings.Count(s, string(rune(decimal))) > 1 && decimal != 0 {
		return "", errors.New("it has two decimal marks")
	}
	if err := grouped(s, decimal, thousands); err != nil {
		return "", err
	}
	s = strings.ReplaceAll(s, thousands, "")
	return strings.Replace(s, ",", ".", 1), nil
}

// grouped refuses thousands that are not set apart by threes.
func grouped(s string, decimal byte, thousands string) error {
	whole, _, _ := strings.Cut(s, string(rune(decimal)))
	if decimal == 0 {
		whole = s
	}
	groups := strings.Split(strings.TrimLeft(whole, "+-"), thousands)
	for _, g := range groups[1:] {
		if len(g) != 3 {
			return errors.New("its thousands are not set apart by threes")
		}
	}
	return nil
}
