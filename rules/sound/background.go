package sound

import (
	"fmt"
	"math"
)

// BackgroundRule says when a standard lets a reading be corrected for the
// noise that is there without the source.
type BackgroundRule struct {
	// Name is the standard and its clause or grade.
	Name string
	// LeastDB and MostDB bound the difference of reading and background within
	// which K1 is computed, ends included.
	LeastDB, MostDB float64
	// CapDB is K1 below LeastDB; the corrected level is then an upper bound.
	CapDB float64
	// Void marks a rule by which a reading below LeastDB is not valid at all.
	Void bool
	// Steps replaces the formula by a table: up to a difference, K1.
	Steps [][2]float64
}

// Rules of the standards. They differ, so that a result has to name its rule.
var (
	ISO3744  = BackgroundRule{Name: "ISO 3744:2010, 8.2.3 (grade 2)", LeastDB: 6, MostDB: 15, CapDB: 1.2562783}
	ISO3746  = BackgroundRule{Name: "ISO 3746:2010, 8.3.3 (grade 3)", LeastDB: 3, MostDB: 10, CapDB: 3.0206143}
	ISO11202 = BackgroundRule{Name: "ISO 11202 (grade 2)", LeastDB: 6, MostDB: 15, CapDB: 1.2562783}
	// ISO11202Survey is the same standard at grade 3.
	ISO11202Survey = BackgroundRule{Name: "ISO 11202 (grade 3)", LeastDB: 3, MostDB: 15, CapDB: 3.0206143}
	// ECMA74 holds for the middle bands, ECMA74Edge for the lowest and highest;
	// ISO 3741, ISO 3745 and ISO 11201 work alike.
	ECMA74     = BackgroundRule{Name: "ECMA-74 (middle bands)", LeastDB: 10, MostDB: math.MaxFloat64, CapDB: 0.4575749}
	ECMA74Edge = BackgroundRule{Name: "ECMA-74 (edge bands)", LeastDB: 6, MostDB: math.MaxFloat64, CapDB: 1.2562783}
	ISO10140   = BackgroundRule{Name: "ISO 10140-4", LeastDB: 6, MostDB: 15, CapDB: 1.3}
	ASTME336   = BackgroundRule{Name: "ASTM E336-11", LeastDB: 5, MostDB: 10, CapDB: 2}
	ISO8297    = BackgroundRule{Name: "ISO 8297:1994, table 2", LeastDB: 6, MostDB: 10, Void: true,
		Steps: [][2]float64{{8, 1.0}, {10, 0.5}}}
)

// Corrected is a reading freed from background.
type Corrected struct {
	LevelDB float64
	K1DB    float64 // what was taken off
	// UpperBound tells that the background was too strong for the rule: the
	// source is at most as loud as LevelDB.
	UpperBound bool
	Rule       string // name of the rule
}

// K1 is the background correction -10 lg(1 - 10^(-d/10)) for a difference d of
// reading and background above 0.05 dB (ISO 3744:2010, equation 16).
func K1(differenceDB float64) (float64, error) {
	l, err := Difference(differenceDB, 0)
	return differenceDB - l, err
}

// Correct frees a reading from a background level by a rule. Both are of the
// same kind (weighting, band, position). It returns an error when the rule
// makes the reading void.
func (r BackgroundRule) Correct(readingDB, backgroundDB float64) (Corrected, error) {
	if err := checkLevel("reading", readingDB); err != nil {
		return Corrected{}, err
	}
	if err := checkLevel("background level", backgroundDB); err != nil {
		return Corrected{}, err
	}
	c := Corrected{Rule: r.Name}
	d := readingDB - backgroundDB
	switch {
	case d < r.LeastDB && r.Void:
		return Corrected{}, fmt.Errorf("%s accepts no reading less than %g dB above the background and this one is %.1f dB above; "+
			"measure in a quieter room or closer", r.Name, r.LeastDB, d)
	case d < r.LeastDB:
		c.K1DB, c.UpperBound = r.CapDB, true
	case d > r.MostDB:
		c.K1DB = 0
	case len(r.Steps) > 0:
		for _, s := range r.Steps {
			if d <= s[0] {
				c.K1DB = s[1]
				break
			}
		}
	default:
		k, err := K1(d)
		if err != nil {
			return Corrected{}, err
		}
		c.K1DB = k
	}
	c.LevelDB = readingDB - c.K1DB
	return c, nil
}
