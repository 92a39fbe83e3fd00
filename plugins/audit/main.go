// Audit is the process of the pack that tells whether a catalogue entry is right on its own.
package main

import (
	"log"

	"slipfit.example/rules/audit"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
)

func main() {
	evaluator, err := kit.NewEvaluator(audit.Pack())
	if err != nil {
		log.Fatal(err)
	}
	process.Serve("audit", kit.NewService(evaluator))
}
