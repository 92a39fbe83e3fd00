package audit

import "testing"

func TestDemandOrder(t *testing.T) {
	table(t, "audit.demand-order", []row{
		{"in order", "card: {demand: {idle_w: 9, sustained_w: 220, excursions: [{power_w: 400, duration_ms: 1}], rails: [{rail: 12v, share: 1}]}}", []string{"PASS entry"}},
		{"idle above sustained", "board: {demand: {idle_w: 30, sustained_w: 22}}", []string{"FAIL entry margin -8 W"}},
		{"a card that is busy at rest", "card: {demand: {idle_w: 90, sustained_w: 220}, power_sockets: [{connector: pcie-8}]}", []string{"FAIL entry margin -2 W"}},
		{"sustained above its own excursion", "processor: {demand: {sustained_w: 880, excursions: [{power_w: 115, duration_ms: 10}]}}", []string{"FAIL entry margin -763 W"}},
		{"shares that make too much", "drive: {demand: {sustained_w: 6, rails: [{rail: 5v, share: 0.8}, {rail: 12v, share: 0.4}]}}", []string{"FAIL entry"}},
		{"a rated heat that the demand contradicts", "processor: {rated_heat_w: 12, demand: {sustained_w: 162}}", []string{"FAIL entry margin -29 W"}},
		{"no sustained demand", "card: {demand: {idle_w: 9}}", []string{"UNKNOWN entry missing items[0].part.card.demand.sustained_w"}},
		{"no demand", "card: {slots: 2}", nil},
	})
}
