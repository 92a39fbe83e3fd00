package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/house"
	"slipfit.example/rules/kit/process"
	"slipfit.example/server/packs"
	"slipfit.example/server/policy"
)

// readHouse reads house rules files, holds each against its own tests, and joins
// them. The text is nil where no file is named.
func readHouse(files []string) (*string, error) {
	if len(files) == 0 {
		return nil, nil
	}
	var all []string
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("house rules %s cannot be read: %w", name, errors.Unwrap(err))
		}
		if _, err := house.Load(name, data); err != nil {
			return nil, err
		}
		all = append(all, string(data))
	}
	text := strings.Join(all, "\n---\n")
	if _, err := house.Load(strings.Join(files, " with "), []byte(text)); err != nil {
		return nil, err
	}
	return &text, nil
}

// houseLaunch starts this program again as the pack of house rules.
func houseLaunch(text string, inline bool) (packs.Launch, error) {
	program, err := os.Executable()
	if err != nil {
		return packs.Launch{}, fmt.Errorf("this program cannot find itself to start the house rules: %w", err)
	}
	allowed := "0"
	if inline {
		allowed = "1"
	}
	return packs.Launch{
		Name: house.Name, Command: []string{program, "pack", house.Name},
		Env: []string{house.EnvRules + "=" + text, house.EnvInline + "=" + allowed},
	}, nil
}

// serveHouse is this program as the pack of house rules.
func serveHouse() error {
	service, err := house.FromEnvironment()
	if err != nil {
		return &exit{exitBroke, err}
	}
	process.Serve(house.Name, service)
	return nil
}

// readPolicy joins the values of a policy file and of flags, which lie over it.
func readPolicy(file string, flags []string) ([]*v1.PolicyValue, error) {
	values, err := policyValues(flags)
	if err != nil || file == "" {
		return values, err
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("policy %s cannot be read: %w", file, errors.Unwrap(err))
	}
	lower, err := policy.Read(file, data)
	if err != nil {
		return nil, err
	}
	return policy.Values(values).Over(lower), nil
}

// readTenants reads the file of --tenants, nil where none is named.
func readTenants(file string) (*policy.Tenants, error) {
	if file == "" {
		return nil, nil
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("tenants file %s cannot be read: %w", file, errors.Unwrap(err))
	}
	return policy.ReadTenants(file, data)
}

func houseCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "house FILE...",
		Short: "Hold house rules against the contract and their own tests",
		Long: `Read house rules files, check their expressions against the types of the contract
and their cost against the limits, and run the tests that each rule brings. Nothing
is started. The exit code is 0 when all is well, 64 otherwise.`,
		Example: "  slipfit house clients/demo/house/archive.yaml",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			text, err := readHouse(files)
			if err != nil {
				return &exit{exitUsage, err}
			}
			pack, err := house.Load("house rules", []byte(*text))
			if err != nil {
				return &exit{exitUsage, err}
			}
			out := cmd.OutOrStdout()
			fmt.Fprintf(out, "%s %s\n", pack.Name, pack.Version)
			for _, r := range pack.Rules[:len(pack.Rules)-1] {
				fmt.Fprintf(out, "  %s: %s\n", r.ID, report.Plain(r.Title))
			}
			return nil
		},
	}
}
