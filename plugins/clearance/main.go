// Clearance is the process of the pack that tells whether parts find room.
package main

import (
	"log"

	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
)

func main() {
	evaluator, err := kit.NewEvaluator(clearance.Pack())
	if err != nil {
		log.Fatal(err)
	}
	process.Serve("clearance", kit.NewService(evaluator))
}
