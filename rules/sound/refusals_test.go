package sound

import (
	"math"
	"testing"
)

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	e := func(_ float64, err error) error { return err }
	correct := func(a, b float64) error { _, err := ISO3744.Correct(a, b); return err }
	beat := func(a, b, c, d float64) error { _, err := Neighbours(a, b, c, d); return err }
	grille := func(a, b float64) error { _, err := TightGrillePenalty(a, b); return err }
	alone := func(a, b, c float64) error { _, _, err := Alone(a, b, c); return err }
	holds := func(d Declared, l float64) error { _, err := d.Holds(l); return err }
	for name, err := range map[string]error{
		"no level":         e(Sum()),
		"level NaN":        e(Sum(30, nan)),
		"level infinite":   e(Sum(inf)),
		"equal level":      e(SumEqual(nan, 2)),
		"no source":        e(SumEqual(30, 0)),
		"no mean":          e(Mean()),
		"in step":          e(InStep(nan, 30)),
		"difference":       e(Difference(30, 30)),
		"difference NaN":   e(Difference(30, nan)),
		"phon":             e(Loudness(10)),
		"sone":             e(LoudnessLevel(0)),
		"K1":               e(K1(0)),
		"reading":          correct(nan, 30),
		"background":       correct(40, nan),
		"power level":      e(PressureLevel(nan, 1, OnFloor)),
		"distance":         e(PressureLevel(40, 0, OnFloor)),
		"surrounding":      e(PressureLevel(40, 1, 0)),
		"pressure level":   e(PowerLevel(nan, 1, OnFloor)),
		"distance back":    e(PowerLevel(40, nan, OnFloor)),
		"other distance":   e(AtDistance(40, 1, 0)),
		"from distance":    e(AtDistance(40, 0, 1)),
		"room level":       e(InRoom(nan, 1, OnFloor, 10)),
		"room distance":    e(InRoom(40, 0, OnFloor, 10)),
		"room constant":    e(InRoom(40, 1, OnFloor, 0)),
		"volume":           e(AbsorptionM2(0, 1)),
		"reverberation":    e(AbsorptionM2(30, nan)),
		"walls":            e(RoomConstantM2(1, 0)),
		"absorption":       e(RoomConstantM2(200, 100)),
		"surface":          e(K2(0, 10)),
		"absorption of K2": e(K2(10, nan)),
		"box":              e(BoxSurfaceM2(1, nan, 1, 1)),
		"frequency":        e(AWeighting(nan)),
		"band":             e(ABand(440)),
		"band sum":         e(ASum(Band{440, 30})),
		"band level":       e(ASum(Band{500, nan})),
		"no band":          e(ASum()),
		"speed ratio":      e(SpeedChange(0, 50)),
		"exponent":         e(SpeedChange(1, nan)),
		"fit speed":        e(FitSpeedExponent(0, 30, 1000, 40)),
		"fit level":        e(FitSpeedExponent(500, nan, 1000, 40)),
		"fit close":        e(FitSpeedExponent(1000, 30, 1050, 31)),
		"fit floor":        e(FitSpeedExponent(1000, 30, 2000, 31)),
		"size":             e(SizeChange(nan)),
		"density":          e(DensityChange(0)),
		"duct flow":        e(DuctFanPower(0, 10)),
		"duct pressure":    e(DuctFanPower(1, nan)),
		"blade speed":      e(BladePassHz(nan, 7)),
		"blades":           e(BladePassHz(1000, 0)),
		"motor speed":      e(MotorToneHz(0, 12, 8)),
		"slots":            e(MotorToneHz(1000, 0, 8)),
		"gap":              grille(nan, .12),
		"diameter":         grille(.01, 0),
		"tone":             beat(nan, 30, 200, 30),
		"tone level":       beat(200, 30, 204, nan),
		"critical band":    e(CriticalBandwidthHz(nan)),
		"tone to noise":    e(ToneToNoiseLimitDB(50)),
		"prominence":       e(ProminenceLimitDB(nan)),
		"declared":         e(Declared{nan, 1}.SingleNumber()),
		"adder":            e(Declared{40, -1}.SingleNumber()),
		"holds":            holds(Declared{40, 1}, nan),
		"holds adder":      holds(Declared{40, nan}, 40),
		"bels":             e(FromBels(nan)),
		"coverage":         e(ExpandedUncertaintyDB(nan, 1, 1)),
		"deviation":        e(ExpandedUncertaintyDB(2, nan, 1)),
		"no meter":         e(Reading(nan, 30)),
		"alone reading":    alone(nan, 30, 0),
		"alone floor":      alone(40, 30, nan),
	} {
		if err == nil {
			t.Errorf("%s: want an error", name)
		}
	}
	for h := Steady; h <= Apart; h++ {
		if h.String() == "unknown" {
			t.Errorf("hearing %d has no word", int(h))
		}
	}
	if Hearing(9).String() != "unknown" {
		t.Error("hearing 9 does not exist")
	}
}
