// House is the process of the pack that judges by an operator's own rules, which
// its environment holds.
package main

import (
	"log"

	"slipfit.example/rules/house"
	"slipfit.example/rules/kit/process"
)

func main() {
	service, err := house.FromEnvironment()
	if err != nil {
		log.Fatal(err)
	}
	process.Serve(house.Name, service)
}
