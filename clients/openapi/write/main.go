// Command write writes the OpenAPI document of the contract:
//
//	write CONTRACT.binpb FOLDER
//
// from a google.protobuf.FileDescriptorSet with source information into
// FOLDER/openapi.json and FOLDER/openapi.yaml.
package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/descriptorpb"

	"slipfit.example/clients/openapi"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) != 2 {
		return errors.New("say the descriptor set to read and the folder to write to")
	}
	data, err := os.ReadFile(args[0])
	if err != nil {
		return err
	}
	set := new(descriptorpb.FileDescriptorSet)
	if err := proto.Unmarshal(data, set); err != nil {
		return fmt.Errorf("%s is no descriptor set: %w", args[0], err)
	}
	asJSON, asYAML, err := openapi.Document(set)
	if err != nil {
		return err
	}
	return errors.Join(
		os.WriteFile(filepath.Join(args[1], "openapi.json"), asJSON, 0o644),
		os.WriteFile(filepath.Join(args[1], "openapi.yaml"), asYAML, 0o644))
}
