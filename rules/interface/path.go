package mating

import "strconv"

// listPath is a path with one place in a list: the text before the place and the
// text after it. The first ones are made once, since findings cite them all the
// time.
type listPath struct {
	before, after string
	made          [16]string
}

func newListPath(list, field string) *listPath {
	p := &listPath{before: list + "[", after: "]." + field}
	for i := range p.made {
		p.made[i] = p.join(i)
	}
	return p
}

func (p *listPath) join(i int) string { return p.before + strconv.Itoa(i) + p.after }

func (p *listPath) at(i int) string {
	if i < len(p.made) {
		return p.made[i]
	}
	return p.join(i)
}

var (
	supportFirmware = newListPath("board.processors", "firmware")
	boardRate       = newListPath("board.memory.rates", "rate_mts")
	processorRate   = newListPath("processor.memory_rates", "rate_mts")
	m2Key           = newListPath("board.m2_slots", "key")
	m2Sizes         = newListPath("board.m2_slots", "sizes")
	m2Height        = newListPath("board.m2_slots", "height_mm")
	m2SATA          = newListPath("board.m2_slots", "sata")
	m2Generation    = newListPath("board.m2_slots", "generation")
	m2Lanes         = newListPath("board.m2_slots", "lanes")
	m2LanesShared   = newListPath("board.m2_slots", "lanes_shared")
	slotWidth       = newListPath("board.card_slots", "width_lanes")
	slotGeneration  = newListPath("board.card_slots", "generation")
	slotLanes       = newListPath("board.card_slots", "lanes")
	slotLanesShared = newListPath("board.card_slots", "lanes_shared")
	headerCurrent   = newListPath("board.headers", "current_a")
	coolerFanPlug   = newListPath("air_cooler.fans", "fan.header")
	coolerFanRun    = newListPath("air_cooler.fans", "fan.current_a")
	coolerFanStart  = newListPath("air_cooler.fans", "fan.start_current_a")
	loopFanPlug     = newListPath("liquid_loop.fans", "fan.header")
	loopFanRun      = newListPath("liquid_loop.fans", "fan.current_a")
	loopFanStart    = newListPath("liquid_loop.fans", "fan.start_current_a")
)
