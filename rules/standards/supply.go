package standards

import "slices"

// Tokens of the supply form factors.
const (
	SupplyATXPS2        = "atx-ps2"
	SupplyATXPS3        = "atx-ps3"
	SupplySFX           = "sfx"
	SupplySFXLowProfile = "sfx-low-profile"
	SupplySFXL          = "sfx-l"
	SupplyTFX           = "tfx"
	SupplyCFX           = "cfx"
	SupplyLFX           = "lfx"
	SupplyFlexATX       = "flex-atx"
)

var (
	srcSupplyTables2 = drawings("supply-size-tables", "drawings and tables of supply form factors", "envelopes", 2)
	srcSupplyTables3 = drawings("supply-size-tables-3", "drawings and tables of supply form factors", "ATX, SFX and Flex ATX envelopes", 3)
	srcSupplyTable1  = drawings("supply-size-table", "table of supply form factors", "PS/3, CFX and LFX envelopes", 1)
	srcSFXLDrawing   = drawings("sfx-l-drawing", "SFX-L supply drawing", "envelope and rear holes", 1)
	srcATXHoles      = drawings("atx-supply-holes", "ATX supply drawings", "rear holes", 2)
	srcSFXHoles      = drawings("sfx-supply-holes", "SFX supply drawings", "rear holes", 3)
	srcFlexHoles     = drawings("flex-supply-holes", "Flex ATX supply drawing", "rear holes, disagreeing with a second drawing by 1.2 mm", 1)
	srcSupplyNoHoles = register("supply-holes-unseen", "desktop supply design guide", "mounting of TFX, CFX, LFX and low-profile SFX, not seen", Memory)
	srcSupplyScrew   = drawings("supply-screw", "supply drawings and list of computer screws", "supply screw", 3)
	srcDepthSold     = register("supply-depth-sold", "depth of ATX supplies as sold", "", CommonPractice)
)

// SupplyForm is a supply form factor. Width, height and depth are those of the
// envelope seen from the rear, depth away from the viewer.
type SupplyForm struct {
	// Token and Name are the document's token and the standard's spelling.
	Token, Name string
	// WidthMM, HeightMM and DepthMM are the envelope.
	WidthMM, HeightMM, DepthMM float64
	// DepthVaries tells that supplies are sold deeper than DepthMM.
	DepthVaries bool
	// Holes are the rear holes seen from outside, origin lower left; empty
	// where they are not known.
	Holes []Point
	// Screw is the thread's token.
	Screw string
	// Note is a sentence on what other documents say, or empty.
	Note string
	// Source is that of the envelope, HolesSource of the holes, ScrewSource of
	// the screw.
	Source, HolesSource, ScrewSource Source
}

var (
	atxSupplyHoles = []Point{{6, 16}, {6, 80}, {144, 80}, {120, 6}}
	sfxSupplyHoles = []Point{{6, 6}, {6, 57.5}, {119, 6}, {119, 57.5}, {6, 31.7}, {119, 31.7}}
)

var supplyForms = []SupplyForm{
	{SupplyATXPS2, "ATX12V (PS/2)", 150, 86, 140, true, atxSupplyHoles, Thread632,
		"A note file puts the lower left hole at (6, 6); two drawings put it at (6, 16).", srcSupplyTables3, srcATXHoles, srcSupplyScrew},
	{SupplyATXPS3, "ATX PS/3", 150, 86, 100, false, atxSupplyHoles, Thread632, "", srcSupplyTable1, srcATXHoles, srcSupplyScrew},
	{SupplySFX, "SFX12V", 125, 63.5, 100, false, sfxSupplyHoles, Thread632,
		"The two middle holes are alternatives: a supply has one, the other or both.", srcSupplyTables3, srcSFXHoles, srcSupplyScrew},
	{SupplySFXLowProfile, "SFX12V low profile", 125, 50, 100, false, nil, Thread632,
		"Another table gives 51.5 mm of height.", srcSupplyTable1Low, srcSupplyNoHoles, srcSupplyScrew},
	{SupplySFXL, "SFX-L", 125, 63.5, 130, false, sfxSupplyHoles, Thread632,
		"Not in the design guide; rear holes as SFX.", srcSFXLDrawing, srcSFXLDrawing, srcSupplyScrew},
	{SupplyTFX, "TFX12V", 85, 65, 175, false, nil, Thread632,
		"Another table gives 64 mm of height; held by tab and slot besides screws.", srcSupplyTables2, srcSupplyNoHoles, srcSupplyScrew},
	{SupplyCFX, "CFX12V", 150, 86, 95, false, nil, Thread632,
		"Stepped: 101.6 mm wide in its narrow part; 96 mm of depth is also named.", srcSupplyTable1, srcSupplyNoHoles, srcSupplyScrew},
	{SupplyLFX, "LFX12V", 62, 72, 210, false, nil, Thread632,
		"Tables swap width and height; held by tab and slot besides screws.", srcSupplyTable1, srcSupplyNoHoles, srcSupplyScrew},
	{SupplyFlexATX, "Flex ATX", 81.5, 40.5, 150, false, []Point{{15.2, 36.5}, {75.9, 4.1}, {75.9, 35.6}}, Thread632,
		"A second drawing has (15.2, 37), (77.1, 4), (77.1, 36) and (4.4, 36); x is from the connector-side edge.", srcSupplyTables3, srcFlexHoles, srcSupplyScrew},
}

var srcSupplyTable1Low = drawings("sfx-low-profile-table", "table of supply form factors", "low-profile SFX envelope", 1)

// SupplyForms returns the supply form factors.
func SupplyForms() []SupplyForm {
	out := slices.Clone(supplyForms)
	for i := range out {
		out[i].Holes = slices.Clone(out[i].Holes)
	}
	return out
}

// SupplyFormByToken returns one supply form factor, or an [UnknownTokenError].
func SupplyFormByToken(token string) (SupplyForm, error) {
	i := slices.IndexFunc(supplyForms, func(s SupplyForm) bool { return s.Token == token })
	if i < 0 {
		return SupplyForm{}, unknown(VocabSupply, token)
	}
	s := supplyForms[i]
	s.Holes = slices.Clone(s.Holes)
	return s, nil
}

// Figures of supplies' bodies.
var (
	// SupplyDeepestSold is the depth up to which ATX supplies are sold.
	SupplyDeepestSold = figure("deepest ATX supply sold", 230, "mm", srcDepthSold)
	// SupplyPanelHoleLow and SupplyPanelHoleHigh bound the panel's clearance
	// hole for the supply's 6-32 screws.
	SupplyPanelHoleLow  = figure("supply screw clearance hole, least", 3.7, "mm", srcSupplyScrew)
	SupplyPanelHoleHigh = figure("supply screw clearance hole, most", 4.0, "mm", srcSupplyScrew)
	// SupplyHarnessShortest is the shortest harness from the supply's wall.
	SupplyHarnessShortest = figure("supply harness, shortest", 150, "mm", srcGuideWire)
	// SupplyWireTemperature is the least temperature rating of output wire.
	SupplyWireTemperature = figure("supply output wire temperature rating", 85, "degC", srcGuideWire)
	// SupplyWireVoltage is the voltage rating of output wire.
	SupplyWireVoltage = figure("supply output wire voltage rating", 300, "V", srcGuideWire)
)
