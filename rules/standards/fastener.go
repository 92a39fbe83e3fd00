package standards

import (
	"fmt"
	"slices"
)

var (
	srcISO7046   = register("iso-7046-2", "ISO 7046-2", "countersunk heads", Published)
	srcISO7045   = register("iso-7045", "ISO 7045", "pan heads", Published)
	srcISO10642  = register("iso-10642-family", "text-book table of hexagon socket countersunk screws (ISO 10642 family)", "", Published)
	srcISO4762   = register("iso-4762", "ISO 4762", "socket cap heads", Published)
	srcISO1207   = register("iso-1207", "ISO 1207", "cheese heads", Memory)
	srcBS2470    = register("bs-2470", "BS 2470", "inch countersunk heads", Published)
	srcPan632    = drawings("pan-6-32", "screw drawings", "6-32 pan head", 1)
	srcTorque    = register("iso-898-1-torque", "tightening pocket guide per ISO 898-1", "steel", Published)
	srcTorqueA2  = register("a2-70-torque", "tightening table for stainless A2-70", "", Published)
	srcTorquePC  = register("pc-torque", "customary torques in computers", "", Memory)
	srcEngage    = register("thread-engagement", "design magazine on thread engagement", "rule by material", Published)
	srcEngageVar = drawings("thread-engagement-variants", "table of thread engagement", "zinc and plastic", 1)
	srcProtrude  = register("screw-protrusion", "screw length less what it clamps", "", Derived)
)

// Kinds of screw heads.
const (
	HeadCountersunk     = "countersunk"
	HeadPan             = "pan"
	HeadHexCountersunk  = "hex-socket-countersunk"
	HeadSocketCap       = "socket-cap"
	HeadCheese          = "cheese"
	HeadInchCountersunk = "inch-countersunk"
)

// Head is a screw head's outline.
type Head struct {
	// Kind and Thread are tokens.
	Kind, Thread string
	// DiameterMM is the largest real diameter, HeightMM the height; height 0
	// where it is not known.
	DiameterMM, HeightMM float64
	// TheoreticalMM is a countersunk head's sharp-edged diameter, or 0.
	TheoreticalMM float64
	// ConeDegrees is a countersunk head's included angle, or 0.
	ConeDegrees float64
	// Source is that of the row.
	Source Source
}

var heads = []Head{
	{HeadCountersunk, ThreadM2, 3.8, 1.2, 0, 90, srcISO7046},
	{HeadCountersunk, ThreadM25, 4.7, 1.5, 0, 90, srcISO7046},
	{HeadCountersunk, ThreadM3, 5.5, 1.65, 0, 90, srcISO7046},
	{HeadCountersunk, ThreadM4, 8.4, 2.7, 0, 90, srcISO7046},
	{HeadCountersunk, ThreadM5, 9.3, 2.7, 0, 90, srcISO7046},
	{HeadPan, ThreadM2, 4.0, 1.6, 0, 0, srcISO7045},
	{HeadPan, ThreadM25, 5.0, 2.1, 0, 0, srcISO7045},
	{HeadPan, ThreadM3, 5.6, 2.4, 0, 0, srcISO7045},
	{HeadPan, ThreadM4, 8.0, 3.1, 0, 0, srcISO7045},
	{HeadPan, ThreadM5, 9.5, 3.7, 0, 0, srcISO7045},
	{HeadPan, Thread632, 6.9, 2.5, 0, 0, srcPan632},
	{HeadHexCountersunk, ThreadM3, 6.00, 1.86, 6.72, 90, srcISO10642},
	{HeadHexCountersunk, ThreadM4, 8.00, 2.48, 8.96, 90, srcISO10642},
	{HeadHexCountersunk, ThreadM5, 10.00, 3.10, 11.20, 90, srcISO10642},
	{HeadSocketCap, ThreadM2, 3.8, 2.0, 0, 0, srcISO4762},
	{HeadSocketCap, ThreadM25, 4.5, 2.5, 0, 0, srcISO4762},
	{HeadSocketCap, ThreadM3, 5.5, 3.0, 0, 0, srcISO4762},
	{HeadSocketCap, ThreadM4, 7.0, 4.0, 0, 0, srcISO4762},
	{HeadSocketCap, ThreadM5, 8.5, 5.0, 0, 0, srcISO4762},
	{HeadCheese, ThreadM2, 3.8, 0, 0, 0, srcISO1207},
	{HeadCheese, ThreadM25, 4.5, 0, 0, 0, srcISO1207},
	{HeadCheese, ThreadM3, 5.5, 0, 0, 0, srcISO1207},
	{HeadCheese, ThreadM4, 7.0, 0, 0, 0, srcISO1207},
	{HeadCheese, ThreadM5, 8.5, 0, 0, 0, srcISO1207},
	{HeadInchCountersunk, Thread440, 5.54, 2.16, 6.48, 82, srcBS2470},
	{HeadInchCountersunk, Thread632, 6.68, 2.54, 7.80, 82, srcBS2470},
}

// Heads returns the heads. Metric countersunk heads have 90 degrees and inch
// ones 82: one does not seat in the other's countersink.
func Heads() []Head { return slices.Clone(heads) }

// HeadFor returns the head of a kind on a thread.
func HeadFor(kind, thread string) (Head, error) {
	if !Known(VocabHead, kind) {
		return Head{}, unknown(VocabHead, kind)
	}
	if !Known(VocabThread, thread) {
		return Head{}, unknown(VocabThread, thread)
	}
	for _, h := range heads {
		if h.Kind == kind && h.Thread == thread {
			return h, nil
		}
	}
	return Head{}, fmt.Errorf("no %s head is tabled for thread %s; give the head's own diameter and height", kind, thread)
}

// TorqueCeiling is the largest tightening torque of a screw by property class.
type TorqueCeiling struct {
	// Thread is the token.
	Thread string
	// Class is "4.8", "8.8" or "a2-70".
	Class string
	// Friction is the coefficient that the table names, or 0.
	Friction float64
	// NewtonMetre is the ceiling.
	NewtonMetre float64
	// Source is that of the row.
	Source Source
}

// Within a thread and class, rows ascend, so that the first is the cautious one.
var torqueCeilings = []TorqueCeiling{
	{ThreadM2, "4.8", 0, 0.17, srcTorque}, {ThreadM2, "8.8", 0, 0.35, srcTorque},
	{ThreadM25, "4.8", 0, 0.35, srcTorque}, {ThreadM25, "8.8", 0, 0.70, srcTorque},
	{ThreadM3, "4.8", 0, 0.61, srcTorque}, {ThreadM3, "8.8", 0, 1.20, srcTorque},
	{ThreadM4, "4.8", 0, 1.40, srcTorque}, {ThreadM4, "8.8", 0, 2.90, srcTorque},
	{ThreadM5, "4.8", 0, 2.95, srcTorque}, {ThreadM5, "8.8", 0, 5.70, srcTorque},
	{ThreadM2, "a2-70", 0.1, 0.2, srcTorqueA2}, {ThreadM2, "a2-70", 0.2, 0.3, srcTorqueA2},
	{ThreadM25, "a2-70", 0.1, 0.45, srcTorqueA2}, {ThreadM25, "a2-70", 0.2, 0.6, srcTorqueA2},
	{ThreadM3, "a2-70", 0.1, 1.0, srcTorqueA2}, {ThreadM3, "a2-70", 0.2, 1.1, srcTorqueA2},
	{ThreadM4, "a2-70", 0.1, 1.7, srcTorqueA2}, {ThreadM4, "a2-70", 0.2, 2.6, srcTorqueA2},
	{ThreadM5, "a2-70", 0.1, 3.4, srcTorqueA2}, {ThreadM5, "a2-70", 0.2, 5.1, srcTorqueA2},
}

// TorqueCeilings returns the torque ceilings.
func TorqueCeilings() []TorqueCeiling { return slices.Clone(torqueCeilings) }

// TorqueCeilingFor returns the ceiling of a thread and class; where the table
// has several by friction, the lowest.
func TorqueCeilingFor(thread, class string) (TorqueCeiling, error) {
	if !Known(VocabThread, thread) {
		return TorqueCeiling{}, unknown(VocabThread, thread)
	}
	if !Known(VocabClass, class) {
		return TorqueCeiling{}, unknown(VocabClass, class)
	}
	for _, t := range torqueCeilings {
		if t.Thread == thread && t.Class == class {
			return t, nil
		}
	}
	return TorqueCeiling{}, fmt.Errorf("no torque ceiling is tabled for thread %s of class %s; give the screw maker's figure", thread, class)
}

// CustomaryTorque is the torque range that the trade uses for a joint.
type CustomaryTorque struct {
	// Joint names screw and partner; Thread is the token, or "" for any.
	Joint, Thread string
	// LowNm and HighNm bound the torque in newton metres.
	LowNm, HighNm float64
	// Source is that of the row.
	Source Source
}

var customaryTorques = []CustomaryTorque{
	{"M.2 module", ThreadM2, 0.1, 0.2, srcTorquePC},
	{"brass standoff", ThreadM3, 0.5, 0.6, srcTorquePC},
	{"sheet steel", Thread632, 0.6, 0.9, srcTorquePC},
	{"plastic", "", 0.2, 0.4, srcTorquePC},
}

// CustomaryTorques returns the trade's torques.
func CustomaryTorques() []CustomaryTorque { return slices.Clone(customaryTorques) }

// Engagement is the least thread engagement in a material, as multiples of the
// thread's major diameter.
type Engagement struct {
	// Material is the nut's: "steel", "cast-iron", "aluminium", "zinc" or
	// "plastic".
	Material string
	// Factor is needed; FactorHigh is the most that a table asks for.
	Factor, FactorHigh float64
	// Source is that of the row.
	Source Source
}

var engagements = []Engagement{
	{"steel", 1.0, 1.0, srcEngage},
	{"cast-iron", 1.5, 1.5, srcEngage},
	{"aluminium", 2.0, 2.0, srcEngage},
	{"zinc", 2.0, 2.5, srcEngageVar},
	{"plastic", 2.0, 2.5, srcEngageVar},
}

// Engagements returns the engagement rule by material.
func Engagements() []Engagement { return slices.Clone(engagements) }

// EngagementLength is a thread engagement in millimetres.
type EngagementLength struct {
	// NeedMM is the least engagement, WantMM the most that a table asks for.
	NeedMM, WantMM float64
	// Source is that of the rule.
	Source Source
}

// EngagementFor returns the engagement of a thread in a nut material.
func EngagementFor(thread, material string) (EngagementLength, error) {
	t, err := ThreadByToken(thread)
	if err != nil {
		return EngagementLength{}, err
	}
	i := slices.IndexFunc(engagements, func(e Engagement) bool { return e.Material == material })
	if i < 0 {
		return EngagementLength{}, unknown(VocabMaterial, material)
	}
	e := engagements[i]
	return EngagementLength{e.Factor * t.MajorMM, e.FactorHigh * t.MajorMM, e.Source}, nil
}

// ProtrusionMM returns how far a screw's tip stands out past what it clamps:
// its length under the head less the sum of the clamped thicknesses. It is
// negative for a screw that is too short.
func ProtrusionMM(lengthMM float64, clampedMM ...float64) (float64, error) {
	if err := inRange("the screw's length", lengthMM, 0, maxLengthMM, "mm"); err != nil {
		return 0, err
	}
	for _, c := range clampedMM {
		if err := inRange("a clamped thickness", c, 0, maxLengthMM, "mm"); err != nil {
			return 0, err
		}
		lengthMM -= c
	}
	return lengthMM, nil
}

// ProtrusionSource is the source of [ProtrusionMM].
func ProtrusionSource() Source { return srcProtrude }
