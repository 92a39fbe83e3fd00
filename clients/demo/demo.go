// Package demo holds the data that examples and tests play with: the parts that an invented nature-sound archive chose
// from, and the builds that it weighed. Makers, models and figures are invented; sizes, currents and laws are those of
// the standards and of physics. README.md tells the story and says where the own frames of the parts lie.
package demo

import "embed"

// FS holds README.md, the part files below "parts" (YAML, several parts a file), the builds below "builds" (YAML, one
// build a file, with references such as "../parts/fans.yaml#heron-120") and measured runs below "runs" (YAML, several
// runs a file).
//
//go:embed README.md parts/*.yaml builds/*.yaml runs/*.yaml
var FS embed.FS
