// Package threeways holds the twenty-five house rules of testdata three times: as CEL,
// which is what an operator writes, in plain Go, and as Rego (the policy language of
// Open Policy Agent). Its tests hold their verdicts against each other over generated
// builds, and its benchmark sets what they cost beside each other.
//
// It is a module of its own, so that nothing of the engine of Rego is built into, or
// fetched for, the program.
package threeways
