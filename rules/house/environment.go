package house

import "os"

// The environment of the pack's process: what a host sets when it starts it.
const (
	// EnvRules holds the text of the house rules. Empty: none.
	EnvRules = "SLIPFIT_HOUSE_RULES"
	// EnvInline lets requests bring rules of their own if it is "1".
	EnvInline = "SLIPFIT_HOUSE_INLINE"
)

// FromEnvironment makes the service that the process's environment asks for.
func FromEnvironment() (*Service, error) {
	pack, err := Load("house rules", []byte(os.Getenv(EnvRules)))
	if err != nil {
		return nil, err
	}
	return NewService(pack, os.Getenv(EnvInline) == "1")
}
