// Interface is the process of the pack that tells whether each part plugs into the next.
package main

import (
	"log"

	mating "slipfit.example/rules/interface"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
)

func main() {
	evaluator, err := kit.NewEvaluator(mating.Pack())
	if err != nil {
		log.Fatal(err)
	}
	process.Serve("interface", kit.NewService(evaluator))
}
