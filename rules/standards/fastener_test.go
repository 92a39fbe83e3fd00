package standards

import (
	"math"
	"testing"
)

// ISO metric thread tables: tap drill D - P and nut minor D - 1.0825 P.
func TestMetricThreadArithmetic(t *testing.T) {
	for token, want := range map[string][2]float64{ThreadM3: {2.5, 2.459}, ThreadM4: {3.3, 3.242}, ThreadM25: {2.05, 2.013}, ThreadM5: {4.2, 4.134}, ThreadM2: {1.6, 1.567}} {
		m, err := ThreadByToken(token)
		if err != nil {
			t.Fatal(err)
		}
		if m.TapDrillMM != want[0] || !near(m.TapDrillMM, m.MajorMM-m.PitchMM, 1e-9) {
			t.Errorf("%s tap drill is %v, want %v", m.Name, m.TapDrillMM, want[0])
		}
		if m.NutMinorMM != want[1] || !near(m.NutMinorMM, m.MajorMM-1.0825*m.PitchMM, 0.0006) {
			t.Errorf("%s nut minor is %v, want %v", m.Name, m.NutMinorMM, want[1])
		}
	}
}

// Stress areas by the formulas of ISO 898-1 and ASME B1.1.
func TestStressAreas(t *testing.T) {
	for _, th := range Threads() {
		d := th.MajorMM - 0.9382*th.PitchMM
		if th.Token == Thread440 || th.Token == Thread632 {
			d = th.MajorMM - 0.9743*th.PitchMM
		}
		if want := math.Pi / 4 * d * d; !near(th.StressAreaMM2, want, 0.006) {
			t.Errorf("%s stress area is %v, want %.3f", th.Name, th.StressAreaMM2, want)
		}
	}
}

// An inch thread's pitch is 25.4 mm over its turns, its major diameter 0.060 in
// plus 0.013 in for each number (ASME B1.1).
func TestInchThreads(t *testing.T) {
	for _, tt := range []struct {
		token       string
		number, tpi float64
	}{{Thread440, 4, 40}, {Thread632, 6, 32}} {
		th, err := ThreadByToken(tt.token)
		if err != nil || !near(th.PitchMM, 25.4/tt.tpi, 0.0006) || !near(th.MajorMM, 25.4*(0.060+0.013*tt.number), 0.0006) {
			t.Errorf("%+v, %v", th, err)
		}
	}
}

func TestThreadDiametersAreInOrder(t *testing.T) {
	for _, th := range Threads() {
		order := []float64{th.ScrewMinorMM, th.NutMinorMM, th.TapDrillMM, th.MajorMM}
		if th.CloseMM > 0 {
			order = append(order, th.CloseMM, th.NormalMM, th.LooseMM)
		}
		for i := 1; i < len(order); i++ {
			if order[i] <= order[i-1] {
				t.Errorf("%s: %v is out of order", th.Name, order)
			}
		}
	}
}

// ISO metric and Unified thread tables.
func TestMates(t *testing.T) {
	for _, tt := range []struct {
		screw, hole string
		mates       bool
		reason      string
	}{
		{ThreadM3, Thread632, false, "the M3 screw has a pitch of 0.5 mm and the 6-32 UNC hole one of 0.794 mm: it jams or holds by one turn"},
		{Thread632, ThreadM3, false, "the 6-32 UNC screw is 3.505 mm over its thread, more than M3's 3 mm, and its pitch is 0.794 mm against 0.5 mm: it cuts its own way and ruins the hole"},
		{ThreadM2, ThreadM3, false, "the M2 screw is 2 mm over its thread and falls through M3's 2.459 mm bore"},
		{ThreadM3, ThreadM3, true, "screw and hole are both m3"},
		{"m6", "m6", true, "screw and hole are both m6"},
	} {
		a, err := Mates(tt.screw, tt.hole)
		if err != nil || a.Yes != tt.mates || a.Reason != tt.reason {
			t.Errorf("%s in %s: %+v, %v", tt.screw, tt.hole, a, err)
		}
		if !a.Yes && !a.Source.Firm() {
			t.Errorf("%s in %s rests on %v", tt.screw, tt.hole, a.Source)
		}
	}
}

func TestNoTwoThreadsMate(t *testing.T) {
	for _, a := range Threads() {
		for _, b := range Threads() {
			if m, err := Mates(a.Token, b.Token); err != nil || m.Yes != (a.Token == b.Token) || m.Reason == "" {
				t.Errorf("%s in %s: %+v, %v", a.Name, b.Name, m, err)
			}
		}
	}
}

// Engagement rule by material.
func TestEngagement(t *testing.T) {
	for _, tt := range []struct {
		material string
		need     float64
		holds    bool
	}{{"aluminium", 6.0, false}, {"steel", 3.0, true}, {"cast-iron", 4.5, false}} {
		e, err := EngagementFor(ThreadM3, tt.material)
		if err != nil || e.NeedMM != tt.need || (4 >= e.NeedMM) != tt.holds || !e.Source.Firm() || e.WantMM < e.NeedMM {
			t.Errorf("M3 in %s: %+v, %v; want %v mm", tt.material, e, err, tt.need)
		}
	}
	if e, err := EngagementFor(ThreadM3, "plastic"); err != nil || e.Source.Firm() {
		t.Errorf("plastic is firm: %+v, %v", e, err)
	}
}

// Tightening guide per ISO 898-1.
func TestTorqueCeilings(t *testing.T) {
	for _, tt := range []struct {
		class   string
		ceiling float64
		holds   bool
	}{{"4.8", 0.61, false}, {"8.8", 1.20, true}, {"a2-70", 1.0, true}} {
		c, err := TorqueCeilingFor(ThreadM3, tt.class)
		if err != nil || c.NewtonMetre != tt.ceiling || (0.9 <= c.NewtonMetre) != tt.holds {
			t.Errorf("M3 class %s: %+v, %v; want %v Nm", tt.class, c, err, tt.ceiling)
		}
	}
	want := "no torque ceiling is tabled for thread 6-32 of class 8.8; give the screw maker's figure"
	if _, err := TorqueCeilingFor(Thread632, "8.8"); err == nil || err.Error() != want {
		t.Errorf("error is %v, want %s", err, want)
	}
}

// A thicker screw and a stronger class bear more; more friction asks for more.
func TestTorqueCeilingsAscend(t *testing.T) {
	order := []string{ThreadM2, ThreadM25, ThreadM3, ThreadM4, ThreadM5}
	for _, class := range Tokens(VocabClass) {
		last := 0.0
		for _, thread := range order {
			c, err := TorqueCeilingFor(thread, class)
			if err != nil || c.NewtonMetre <= last {
				t.Errorf("%s class %s: %v Nm after %v, %v", thread, class, c.NewtonMetre, last, err)
			}
			last = c.NewtonMetre
		}
	}
}

// Screw length less fan and washer, against a boss of 4 mm.
func TestProtrusion(t *testing.T) {
	for _, tt := range []struct{ length, want float64 }{{30, 4.5}, {28, 2.5}, {20, -5.5}} {
		if got, err := ProtrusionMM(tt.length, 25, 0.5); err != nil || got != tt.want {
			t.Errorf("a screw of %v mm stands out %v mm, %v; want %v", tt.length, got, err, tt.want)
		}
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := ProtrusionMM(bad); err == nil {
			t.Errorf("a length of %v is taken", bad)
		}
		if _, err := ProtrusionMM(30, bad); err == nil {
			t.Errorf("a thickness of %v is taken", bad)
		}
	}
}

// Heads as the ISO and BS tables give them.
func TestHeads(t *testing.T) {
	for _, tt := range []struct {
		kind, thread     string
		diameter, height float64
	}{
		{HeadCountersunk, ThreadM3, 5.5, 1.65}, {HeadPan, ThreadM3, 5.6, 2.4}, {HeadSocketCap, ThreadM4, 7, 4},
		{HeadHexCountersunk, ThreadM5, 10, 3.1}, {HeadInchCountersunk, Thread632, 6.68, 2.54}, {HeadPan, Thread632, 6.9, 2.5},
	} {
		if h, err := HeadFor(tt.kind, tt.thread); err != nil || h.DiameterMM != tt.diameter || h.HeightMM != tt.height {
			t.Errorf("%s %s is %+v, %v", tt.kind, tt.thread, h, err)
		}
	}
	if _, err := HeadFor(HeadSocketCap, Thread632); err == nil {
		t.Error("an inch socket cap head is tabled")
	}
	for _, h := range Heads() {
		th, err := ThreadByToken(h.Thread)
		if err != nil || h.DiameterMM <= th.MajorMM {
			t.Errorf("%s head of %s is %v mm wide, %v", h.Kind, h.Thread, h.DiameterMM, err)
		}
		countersunk := h.Kind == HeadCountersunk || h.Kind == HeadHexCountersunk || h.Kind == HeadInchCountersunk
		inch := h.Kind == HeadInchCountersunk
		if (h.ConeDegrees != 0) != countersunk || (h.ConeDegrees == 82) != inch {
			t.Errorf("%s head of %s has a cone of %v degrees", h.Kind, h.Thread, h.ConeDegrees)
		}
	}
}

func TestThreadUsesAreKnownThreads(t *testing.T) {
	for _, u := range ThreadUses() {
		for _, token := range u.Threads {
			if !Known(VocabThread, token) {
				t.Errorf("%s takes %q", u.Where, token)
			}
		}
	}
}
