// Package openapi holds the description of the service's HTTP routes by OpenAPI 3.1.
// It is written from the contract by proto/tools/generate.sh.
package openapi

import _ "embed"

// JSON is the document as JSON.
//
//go:embed openapi.json
var JSON []byte

// YAML is the document as YAML.
//
//go:embed openapi.yaml
var YAML []byte
