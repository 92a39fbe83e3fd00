package electric

import "testing"

// copper is annealed copper of 100 % IACS (resistivity and coefficient as in
// IEC 60028, from memory; they reproduce the handbook table of wire gauges).
var copper = Metal{OhmMetre: 1.7241e-8, PerKelvin: 0.00393}

// Contact resistances of mated power terminals: common practice, no source.
var (
	terminal42 = Range{0.002, 0.004, 0.010} // 4.2 mm pitch family
	terminal30 = Range{0.002, 0.003, 0.006} // 3.0 mm pitch family
	bladeSATA  = Range{0.005, 0.015, 0.030}
)

// desktop is the wiring of a typical small build.
type desktop struct {
	net                 *Network
	twelve, five, three Element
	processor, card     Element
	processorPlus       HarnessElements
	processorMinus      HarnessElements
	cardPlus, cardMinus HarnessElements
	boardRails          [3]Node
	drives, fans        []Element
}

// desktopPlan says what differs between desktops in the tests.
type desktopPlan struct {
	processorW, cardW           float64
	processorMM, othersMM, tube float64 // lengths of cables
}

func smallPlan() desktopPlan {
	return desktopPlan{processorW: 230, cardW: 360, processorMM: 400, othersMM: 300, tube: 60}
}

// newDesktop wires three rails through a 24-pin, an 8-pin processor, a
// 12V-2x6 (six contact pairs), a chain of two SATA drives and three fans.
func newDesktop(p desktopPlan) *desktop {
	n := NewNetwork(copper)
	d := &desktop{net: n}
	v12, v5, v33 := n.Node("12 V"), n.Node("5 V"), n.Node("3.3 V")
	d.twelve = n.AddRail(Rail{Name: "12 V", Plus: v12, Minus: Return, Volts: Range{11.4, 12, 12.6}, Ohms: Exactly(0.001), LimitA: 83})
	d.five = n.AddRail(Rail{Name: "5 V", Plus: v5, Minus: Return, Volts: Range{4.75, 5, 5.25}, LimitA: 20})
	d.three = n.AddRail(Rail{Name: "3.3 V", Plus: v33, Minus: Return, Volts: Range{3.14, 3.3, 3.47}, LimitA: 20})
	wire := func(g Gauge, mm float64, count int) Wire {
		return Wire{Gauge: g, LengthMM: Range{mm * 0.98, mm, mm * 1.02}, Count: count, TempC: Range{25, 40, 60}}
	}
	board, b5, b3 := n.Node("board 12 V"), n.Node("board 5 V"), n.Node("board 3.3 V")
	ground := n.Node("board ground")
	d.boardRails = [3]Node{board, b5, b3}
	harness := func(name string, from, to Node, g Gauge, mm float64, count int, plug Range) HarnessElements {
		return n.AddHarness(Harness{Name: name, From: from, To: to, Wire: wire(g, mm, count), PlugOhms: plug})
	}
	harness("24-pin 12 V", v12, board, 18, p.othersMM, 2, terminal42)
	harness("24-pin 5 V", v5, b5, 18, p.othersMM, 5, terminal42)
	harness("24-pin 3.3 V", v33, b3, 18, p.othersMM, 4, terminal42)
	harness("24-pin return", ground, Return, 18, p.othersMM, 8, terminal42)
	d.boardLoads(board, b5, b3, ground)

	vrm, vrmLow := n.Node("processor 12 V"), n.Node("processor ground")
	d.processorPlus = harness("8-pin processor, 12 V", v12, vrm, 18, p.processorMM, 4, terminal42)
	d.processorMinus = harness("8-pin processor, return", vrmLow, Return, 18, p.processorMM, 4, terminal42)
	n.AddContact(Contact{"board ground plane", vrmLow, ground, Range{0.0002, 0.0005, 0.001}})
	d.processor = n.AddLoad(Load{Name: "processor", Plus: vrm, Minus: vrmLow, Kind: ConstantPower,
		Idle: Exactly(25), Sustained: Range{p.processorW * 0.95, p.processorW, p.processorW * 1.05}, Excursion: Exactly(p.processorW * 1.4)})

	gpu, gpuLow := n.Node("card 12 V"), n.Node("card ground")
	d.cardPlus = harness("12V-2x6, 12 V", v12, gpu, 16, p.othersMM, 6, terminal30)
	d.cardMinus = harness("12V-2x6, return", gpuLow, Return, 16, p.othersMM, 6, terminal30)
	n.AddContact(Contact{"card edge ground", gpuLow, ground, Range{0.001, 0.002, 0.004}})
	d.card = n.AddLoad(Load{Name: "graphics card", Plus: gpu, Minus: gpuLow, Kind: ConstantPower,
		Idle: Exactly(15), Sustained: Range{p.cardW * 0.95, p.cardW, p.cardW * 1.05}, Excursion: Exactly(p.cardW * 2)})
	d.driveChain(v12, v5, wire)
	return d
}

func (d *desktop) boardLoads(board, b5, b3, ground Node) {
	n := d.net
	n.AddLoad(Load{Name: "board 3.3 V", Plus: b3, Minus: ground, Kind: ConstantCurrent, Idle: Exactly(1), Sustained: Exactly(3)})
	n.AddLoad(Load{Name: "memory", Plus: b5, Minus: ground, Kind: ConstantPower, Idle: Exactly(4), Sustained: Exactly(12)})
	n.AddLoad(Load{Name: "card through the slot", Plus: board, Minus: ground, Kind: ConstantPower, Idle: Exactly(5), Sustained: Exactly(40)})
	for _, name := range []string{"front fan", "rear fan", "cooler fan"} {
		d.fans = append(d.fans, n.AddLoad(Load{Name: name, Plus: board, Minus: ground, Kind: Resistance, Sustained: Range{60, 80, 100}}))
	}
}

// driveChain hangs two drives on one SATA cable, the second behind the first.
func (d *desktop) driveChain(v12, v5 Node, wire func(Gauge, float64, int) Wire) {
	n := d.net
	from12, from5, from0 := v12, v5, Return
	for i, name := range []string{"first drive", "second drive"} {
		mm := 350.0
		if i == 1 {
			mm = 120
		}
		p12, p5, p0 := n.Node(name+" 12 V plug"), n.Node(name+" 5 V plug"), n.Node(name+" return plug")
		n.AddConductor(Conductor{name + ", 12 V wire", from12, p12, wire(18, mm, 1)})
		n.AddConductor(Conductor{name + ", 5 V wire", from5, p5, wire(18, mm, 1)})
		n.AddConductor(Conductor{name + ", return wire", p0, from0, wire(18, mm, 2)})
		d12, d5, d0 := n.Node(name+" 12 V"), n.Node(name+" 5 V"), n.Node(name+" ground")
		n.AddContact(Contact{name + ", 12 V contact", p12, d12, bladeSATA})
		n.AddContact(Contact{name + ", 5 V contact", p5, d5, bladeSATA})
		n.AddContact(Contact{name + ", return contact", d0, p0, bladeSATA})
		d.drives = append(d.drives,
			n.AddLoad(Load{Name: name + ", motor", Plus: d12, Minus: d0, Kind: ConstantPower, Idle: Exactly(3), Sustained: Exactly(6), Excursion: Exactly(24)}),
			n.AddLoad(Load{Name: name + ", electronics", Plus: d5, Minus: d0, Kind: ConstantPower, Idle: Exactly(2), Sustained: Exactly(4)}))
		from12, from5, from0 = p12, p5, p0
	}
}

func mustCompile(t testing.TB, n *Network) *Circuit {
	t.Helper()
	c, err := n.Compile()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func mustSolve(t testing.TB, w *Workspace) {
	t.Helper()
	if err := w.Solve(); err != nil {
		t.Fatal(err)
	}
}
