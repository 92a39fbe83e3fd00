// Thermal is the process of the pack that tells how warm a build gets.
package main

import (
	"log"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/thermal"
)

func main() {
	evaluator, err := kit.NewEvaluator(thermal.Pack())
	if err != nil {
		log.Fatal(err)
	}
	process.Serve("thermal", kit.NewService(evaluator))
}
