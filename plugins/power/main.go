// Power is the process of the pack that tells whether a build gets the power that it needs.
package main

import (
	"log"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/power"
)

func main() {
	evaluator, err := kit.NewEvaluator(power.Pack())
	if err != nil {
		log.Fatal(err)
	}
	process.Serve("power", kit.NewService(evaluator))
}
