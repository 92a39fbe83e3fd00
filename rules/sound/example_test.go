package sound_test

import (
	"fmt"
	"log"

	"slipfit.example/rules/sound"
)

// Two fans, one slowed to four fifths and one behind a tight grille, heard by
// somebody at half a metre over the floor of a quiet office.
func Example() {
	slower, err := sound.SpeedChange(0.8, sound.SpeedExponent.Nominal)
	if err != nil {
		log.Fatal(err)
	}
	grille, err := sound.TightGrillePenalty(0.006, 0.120)
	if err != nil {
		log.Fatal(err)
	}
	power, err := sound.Sum(48+slower, 41+grille.Nominal)
	if err != nil {
		log.Fatal(err)
	}
	machine, err := sound.PressureLevel(power, sound.Operator.DistanceM, sound.OnFloor)
	if err != nil {
		log.Fatal(err)
	}
	reading, err := sound.Reading(machine, 32)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("sound power %.1f dB(A), at the ear %.1f dB(A), the meter reads %.1f dB(A)\n", power, machine, reading)
	// Output: sound power 47.2 dB(A), at the ear 45.2 dB(A), the meter reads 45.4 dB(A)
}
