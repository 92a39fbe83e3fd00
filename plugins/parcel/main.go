// Parcel is the process of the pack that tells whether a finished machine can be sent
// by post. It is not built in: it shows how an external pack is made. plugins/parcel-py
// is the same pack in another language.
package main

import (
	"log"

	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/parcel"
)

func main() {
	evaluator, err := kit.NewEvaluator(parcel.Pack())
	if err != nil {
		log.Fatal(err)
	}
	process.Serve("parcel", kit.NewService(evaluator))
}
