// Mounting is the process of the pack that tells whether parts can be fastened.
package main

import (
	"log"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/mounting"
)

func main() {
	evaluator, err := kit.NewEvaluator(mounting.Pack())
	if err != nil {
		log.Fatal(err)
	}
	process.Serve("mounting", kit.NewService(evaluator))
}
