package audit

import "testing"

func TestCardPower(t *testing.T) {
	table(t, "audit.card-power", []row{
		{"slot 75 W and a 2x4 plug 150 W carry 225 W (card electromechanical specification)", "card: {demand: {sustained_w: 220}, power_sockets: [{connector: pcie-8}]}", []string{"PASS entry"}},
		{"more than its connectors carry", "card: {demand: {sustained_w: 300}, power_sockets: [{connector: pcie-8}]}", []string{"MARGINAL entry margin -64 W"}},
		{"far more", "card: {demand: {sustained_w: 2200}, power_sockets: [{connector: pcie-8}]}", []string{"FAIL entry margin -1964 W"}},
		{"two plugs that a tenth of the power would not need", "card: {demand: {sustained_w: 32}, power_sockets: [{connector: pcie-8, count: 2}]}", []string{"FAIL entry margin -22 W"}},
		{"slot alone", "card: {demand: {sustained_w: 30}}", []string{"PASS entry"}},
		{"a supply weaker than the card", "card: {demand: {sustained_w: 220}, power_sockets: [{connector: pcie-8}], asked_supply_w: 60}", []string{"FAIL entry margin -160 W"}},
		{"an unknown connector says nothing", "card: {demand: {sustained_w: 900}, power_sockets: [{connector: own-9}]}", nil},
		{"no power", "card: {slots: 2}", nil},
	})
}
