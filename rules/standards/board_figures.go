package standards

var (
	srcMicroATXFig4   = register("microatx-1.2-fig4", "microATX specification 1.2", "figure 4", Published)
	srcMicroATXFig5   = register("microatx-1.2-fig5", "microATX specification 1.2", "figure 5", Published)
	srcMicroATXTable6 = register("microatx-1.2-table6", "microATX specification 1.2", "table 6", Published)
	srcIOFace         = register("microatx-1.2-fig5-derived", "microATX specification 1.2", "figure 5 less the hole row", Derived)
	srcApertureUnder  = register("microatx-1.2-fig4-derived", "microATX specification 1.2", "figure 4 less the board thickness", Derived)
	srcThermalGuide   = register("thermal-mechanical-6.6", "thermal and mechanical design guide for desktop processors", "section 6.6", Published)
	srcBoardDrawing   = drawings("atx-board-drawing", "ATX family board drawing", "holes and keep-outs", 1)
	srcApertureX      = drawings("atx-aperture-drawing", "ATX family board drawing", "rear aperture", 1)
	srcApertureXOther = drawings("atx-aperture-drawing-2", "second ATX family board drawing", "rear aperture", 1)
	srcStandoff       = register("standoff-custom", "standoff height as sold", "", CommonPractice)
	srcITXEdge        = drawings("mini-itx-edge-drawing", "Mini-ITX board drawing in inches", "outline", 1)
	srcMicroATXTrade  = drawings("microatx-smallest-table", "table of board form factors", "smallest microATX board", 1)
	srcX16Datum       = drawings("atx-x16-drawings", "ATX family board drawings", "x16 connector datum", 2)
)

// Figures of boards, rear walls and the room round them.
var (
	// BoardThickness is the board's usual thickness.
	BoardThickness = figure("board thickness", 1.57, "mm", srcMicroATXFig4)
	// MountingHoleDiameter is the plated hole's diameter.
	MountingHoleDiameter = figure("board mounting hole diameter", 3.96, "mm", srcBoardDrawing)
	// MountingPadDiameter is kept clear of conductors round each hole.
	MountingPadDiameter = figure("board mounting pad diameter", 10.16, "mm", srcBoardDrawing)
	// UndersideKeepOut is the least space between tray and board underside.
	UndersideKeepOut = figure("board underside space", 6.35, "mm", srcBoardDrawing)
	// StandoffHeight is the height of standoffs as they are sold.
	StandoffHeight = figure("standoff height", 6.5, "mm", srcStandoff)
	// MiniITXDrawnEdge is the Mini-ITX edge as inch drawings give it (6.7 in);
	// the addendum prints 170 mm.
	MiniITXDrawnEdge = figure("Mini-ITX edge in inch drawings", 170.18, "mm", srcITXEdge)
	// MicroATXSmallest is the edge of the smallest board sold as microATX.
	MicroATXSmallest = figure("smallest microATX edge", 171.45, "mm", srcMicroATXTrade)

	// ApertureWidth and ApertureHeight are the rear aperture, a plain cut-out.
	ApertureWidth  = figure("rear aperture width", 158.75, "mm", srcMicroATXFig4)
	ApertureHeight = figure("rear aperture height", 44.45, "mm", srcMicroATXFig4)
	// ApertureCornerRadius is the largest corner radius of the aperture.
	ApertureCornerRadius = figure("rear aperture corner radius, largest", 0.99, "mm", srcMicroATXFig4)
	// ApertureBelowTop is the depth of the aperture's lower edge under the
	// board's top face, ApertureBelowUnderside under its underside.
	ApertureBelowTop       = figure("rear aperture lower edge below board top", 3.81, "mm", srcMicroATXFig4)
	ApertureBelowUnderside = figure("rear aperture lower edge below board underside", 2.24, "mm", srcApertureUnder)
	// ApertureKeepOut is the ring round the aperture kept free of features.
	ApertureKeepOut = figure("rear aperture keep-out ring", 2.54, "mm", srcMicroATXFig4)
	// ApertureSlotEndX and ApertureFarEndX are its ends in the board's frame;
	// a second drawing puts the far end at ApertureFarEndXOther.
	ApertureSlotEndX     = figure("rear aperture end beside the slots, x", 156.31, "mm", srcApertureX)
	ApertureFarEndX      = figure("rear aperture far end, x", -2.44, "mm", srcApertureX)
	ApertureFarEndXOther = figure("rear aperture far end, x, second drawing", -3.30, "mm", srcApertureXOther)
	// RearPanelThin and RearPanelThick bound the sheet a clip-in shield takes.
	RearPanelThin  = figure("rear panel thickness, least", 0.94, "mm", srcMicroATXFig4)
	RearPanelThick = figure("rear panel thickness, most", 1.32, "mm", srcMicroATXFig4)
	// ConnectorFaceBehindHoles is how far connector faces lie behind hole row
	// A-B-C; ConnectorFacePastEdge how far past the board's rear edge.
	ConnectorFaceBehindHoles = figure("rear connector faces behind the hole row", 11.30, "mm", srcMicroATXFig5)
	ConnectorFacePastEdge    = figure("rear connector faces past the board edge", 1.14, "mm", srcIOFace)
	// ConnectorZoneWidth and ConnectorZoneHeight bound the rear connectors.
	ConnectorZoneWidth  = figure("rear connector zone width", 152.15, "mm", srcMicroATXFig5)
	ConnectorZoneHeight = figure("rear connector zone height", 37.34, "mm", srcMicroATXFig5)
	// RearWallPastEdge is the rear wall's inner face past the board's edge.
	RearWallPastEdge = figure("rear wall inner face past the board edge", 2.11, "mm", srcBoardDrawing)

	// SlotPitch is the distance of neighbouring expansion slots.
	SlotPitch = figure("expansion slot pitch", 20.32, "mm", srcSlotDrawings)
	// FirstSlotCentreX is slot 1's centreline in the board's frame.
	FirstSlotCentreX = figure("first expansion slot centreline, x", 162.26, "mm", srcSlotDrawings)
	// X16Datum is the x16 connector's datum from the rear edge.
	X16Datum = figure("x16 connector datum from the rear edge", 57.15, "mm", srcX16Datum)

	// AreaAKeepOut is the height over the board that a chassis leaves free
	// above the processor; AreaAKeepOutPreferred what it should leave.
	AreaAKeepOut          = figure("chassis keep-out above area A", 76.20, "mm", srcMicroATXTable6)
	AreaAKeepOutPreferred = figure("chassis keep-out above area A, preferred", 88.90, "mm", srcMicroATXTable6)
	// ReferenceCoolerHeight is the tallest reference cooler over the board, and
	// ReferenceObstruction the lowest chassis part above it.
	ReferenceCoolerHeight = figure("reference cooler height over the board", 71.12, "mm", srcThermalGuide)
	ReferenceObstruction  = figure("chassis obstruction over the board, least", 81.28, "mm", srcThermalGuide)
)
