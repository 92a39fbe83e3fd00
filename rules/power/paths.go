package power

import "strconv"

// indexedPath is a path with one place in a list: the text before the place and
// the text after it. The first ones are made once, since findings cite them all
// the time.
type indexedPath struct {
	before, after string
	made          [8]string
}

func newIndexedPath(before, after string) *indexedPath {
	p := &indexedPath{before: before + "[", after: "]" + after}
	for i := range p.made {
		p.made[i] = p.make(i)
	}
	return p
}

func (p *indexedPath) make(i int) string { return p.before + strconv.Itoa(i) + p.after }

func (p *indexedPath) at(i int) string {
	if i < len(p.made) {
		return p.made[i]
	}
	return p.make(i)
}

var (
	loadPath         = newIndexedPath("use.loads", ".power_w")
	airFanPath       = newIndexedPath("air_cooler.fans", ".fan.current_a")
	loopFanPath      = newIndexedPath("liquid_loop.fans", ".fan.current_a")
	processorPeak    = newIndexedPath("processor.demand.excursions", ".power_w")
	cardPeak         = newIndexedPath("card.demand.excursions", ".power_w")
	boardSocketPath  = newIndexedPath("board.power_sockets", ".connector")
	cardSocketPath   = newIndexedPath("card.power_sockets", ".connector")
	driveSocketPath  = newIndexedPath("drive.power_sockets", ".connector")
	supplyCablePath  = newIndexedPath("supply.cables", ".from")
	railPath         = newIndexedPath("supply.rails", ".current_a")
	supplyGaugePath  = newIndexedPath("supply.cables", ".gauge_awg")
	supplyEndPath    = newIndexedPath("supply.cables", ".ends")
	supplyPinoutPath = newIndexedPath("supply.cables", ".pinout")
)
