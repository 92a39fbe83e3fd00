package air

import (
	"fmt"
	"math"
)

// Outside is the room around the enclosure as an end of a Branch: gauge
// pressure zero at every height.
const Outside = -1

// Node is a zone of the enclosure: air that mixes, at one gauge pressure and
// one temperature.
type Node struct {
	// Name is used in reports and errors; required.
	Name string
	// HeightM is the height in m that the node's pressure is stated at, in the
	// same upright axis as the heights of the branches.
	HeightM float64
	// TemperatureC is the zone's temperature in degC; zero stands for the
	// room's temperature unless HasTemperature is set.
	TemperatureC   float64
	HasTemperature bool
	// InflowM3S is air that is fed into the zone from nowhere (a hose, a test
	// rig), m3/s at the room's density; negative takes it away.
	InflowM3S float64
}

// Branch is a way from one zone to another, or to the room. Flow and fan count
// positive from From to To.
type Branch struct {
	// Name is used in reports and errors; required.
	Name string
	// From and To are indices of nodes, or Outside.
	From, To int
	// Resistance is the whole way's cost; it may be zero only with a Fan.
	Resistance Resistance
	// Fan blows from From to To and stands in line with the resistance.
	Fan *Fan
	// HeadPa is a constant driving pressure from From to To (a slight
	// overpressure of the room, a chimney that is not part of the network).
	HeadPa float64
	// FromHeightM and ToHeightM are the heights of the two mouths in m. Between
	// them the air counts as the mean of both ends, whichever way it flows, so
	// that a sloping way cannot flip to and fro. A chimney that fills with warm
	// air wants a Node of its own.
	FromHeightM, ToHeightM float64
	// Closed takes the branch out; its flow is zero.
	Closed bool
}

// Network is zones and the ways between them, standing in a room. It is plain
// data; a Solver works on it.
type Network struct {
	Room     State // air of the room
	Nodes    []Node
	Branches []Branch
}

// Limits of a Network: dense elimination and small reports are meant for
// enclosures, not for buildings.
const (
	MostNodes    = 256
	MostBranches = 2048
)

// Check returns the first thing in the network that cannot be solved, as a
// sentence that names the node or branch.
func (n *Network) Check() error {
	if len(n.Nodes) > MostNodes || len(n.Branches) > MostBranches {
		return fmt.Errorf("the flow network has %d zones and %d ways but may have %d and %d; merge zones",
			len(n.Nodes), len(n.Branches), MostNodes, MostBranches)
	}
	if err := CheckRange("density of the room's air", n.Room.DensityKgM3, 0.05, 5, "kg/m3"); err != nil {
		return fmt.Errorf("the flow network stands in no room: %w", err)
	}
	if err := CheckRange("viscosity of the room's air", n.Room.ViscosityPaS, 1e-6, 1e-4, "Pa s"); err != nil {
		return fmt.Errorf("the flow network stands in no room: %w", err)
	}
	for i := range n.Nodes {
		if err := n.Nodes[i].check(); err != nil {
			return fmt.Errorf("zone %q of the flow network: %w", n.Nodes[i].Name, err)
		}
	}
	for i := range n.Branches {
		if err := n.Branches[i].check(len(n.Nodes)); err != nil {
			return fmt.Errorf("way %q of the flow network: %w", n.Branches[i].Name, err)
		}
	}
	return nil
}

func (n *Node) check() error {
	if err := CheckRange("height", n.HeightM, -100, 100, "m"); err != nil {
		return err
	}
	if n.HasTemperature {
		if err := CheckRange("air temperature", n.TemperatureC, LowestTemperatureC, HighestTemperatureC, "degC"); err != nil {
			return err
		}
	}
	return CheckRange("air fed in", n.InflowM3S, -1e3, 1e3, "m3/s")
}

func (b *Branch) check(nodes int) error {
	for _, end := range [2]int{b.From, b.To} {
		if end < Outside || end >= nodes {
			return fmt.Errorf("it ends at zone number %d but there are %d zones; use 0 to %d, or Outside", end, nodes, nodes-1)
		}
	}
	if b.From == b.To {
		return fmt.Errorf("it leads from a zone to the same zone; give it another end")
	}
	if err := b.Resistance.check(); err != nil {
		return err
	}
	if b.Fan != nil {
		if err := b.Fan.check(); err != nil {
			return err
		}
	} else if b.Resistance.LinearPaSM3+b.Resistance.QuadraticPaS2M6 < leastResistance {
		return fmt.Errorf("it has neither resistance nor fan; merge the two zones or give the opening's area")
	}
	for _, h := range [2]float64{b.FromHeightM, b.ToHeightM} {
		if err := CheckRange("height", h, -100, 100, "m"); err != nil {
			return err
		}
	}
	return CheckRange("driving pressure", b.HeadPa, -1e7, 1e7, "Pa")
}

// leastResistance keeps the pressures of joined zones apart in floating point:
// 1e-6 Pa/(m3/s)^2 is an opening of 800 m2.
const leastResistance = 1e-6

// head is the driving pressure of a branch from From to To: its own, and what
// columns of lighter or heavier air add between the node heights and the
// mouths. The room's hydrostatic pressure is the zero of gauge at all heights,
// so that only differences from the room's density count.
func (n *Network) head(b *Branch, fromDensity, toDensity float64) float64 {
	room := n.Room.DensityKgM3
	head := b.HeadPa
	if b.ToHeightM != b.FromHeightM {
		head += BuoyancyPa(b.ToHeightM-b.FromHeightM, room, (fromDensity+toDensity)/2)
	}
	if b.From != Outside {
		head += BuoyancyPa(b.FromHeightM-n.Nodes[b.From].HeightM, room, fromDensity)
	}
	if b.To != Outside {
		head -= BuoyancyPa(b.ToHeightM-n.Nodes[b.To].HeightM, room, toDensity)
	}
	return head
}

// parts labels every node with the number of its connected part and returns
// the labels and, for each part, whether an open way joins it to the room.
// The three slices are reused when they are large enough.
func (n *Network) parts(label []int, open []bool) ([]int, []bool) {
	label = label[:0]
	for i := range n.Nodes {
		label = append(label, i)
	}
	root := func(i int) int {
		for label[i] != i {
			label[i] = label[label[i]]
			i = label[i]
		}
		return i
	}
	open = open[:0]
	for range n.Nodes {
		open = append(open, false)
	}
	for i := range n.Branches {
		b := &n.Branches[i]
		if !b.Closed && b.From != Outside && b.To != Outside {
			label[root(b.From)] = root(b.To)
		}
	}
	for i := range n.Nodes {
		label[i] = root(i)
	}
	for i := range n.Branches {
		b := &n.Branches[i]
		if b.Closed || b.From != Outside && b.To != Outside {
			continue
		}
		open[label[max(b.From, b.To)]] = true
	}
	return label, open
}

// MassFlow converts a volume flow in m3/s of the room's air to kg/s.
func (n *Network) MassFlow(flowM3S float64) float64 { return flowM3S * n.Room.DensityKgM3 }

// finite tells whether all values are finite.
func finite(values []float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
