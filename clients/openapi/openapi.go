// Package openapi describes the service's HTTP routes by OpenAPI 3.1, from the
// contract with its comments: the routes of google.api.http with the schemas of their
// messages, the streams of lines, and Connect's GET of a check.
package openapi

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
	"google.golang.org/genproto/googleapis/api/annotations"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protodesc"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/descriptorpb"

	"slipfit.example/clients/schema"
)

type object = map[string]any

// Document is the description as JSON and as YAML, from the contract's descriptors
// with source information.
func Document(set *descriptorpb.FileDescriptorSet) (asJSON, asYAML []byte, err error) {
	files, err := protodesc.NewFiles(set)
	if err != nil {
		return nil, nil, fmt.Errorf("the contract's descriptors do not fit together: %w", err)
	}
	w := &writer{paths: object{}}
	for _, name := range services {
		d, err := files.FindDescriptorByName(protoreflect.FullName(name))
		if err != nil {
			return nil, nil, fmt.Errorf("the contract has no service %s: %w", name, err)
		}
		if err := w.service(d.(protoreflect.ServiceDescriptor)); err != nil {
			return nil, nil, err
		}
	}
	definitions, err := schema.Definitions(schema.Options{Plain: true, Home: "#/components/schemas/"}, w.questions, w.answers)
	if err != nil {
		return nil, nil, err
	}
	definitions["Problem"], definitions["ProblemViolation"] = problemSchema, violationSchema
	document := object{
		"openapi": "3.1.1",
		"info":    object{"title": "slipfit", "version": "v1", "description": strings.TrimSpace(introduction)},
		"servers": []any{object{"url": "/", "description": "The service that this document comes from."}},
		"tags":    tags, "paths": w.paths,
		"components": object{"schemas": definitions, "parameters": parameters, "headers": headers, "responses": problems},
	}
	if asJSON, err = json.MarshalIndent(document, "", "  "); err != nil {
		return nil, nil, err
	}
	var plain any // numbers as JSON has them, of whatever type they were
	if err = json.Unmarshal(asJSON, &plain); err != nil {
		return nil, nil, err
	}
	asYAML, err = yaml.Marshal(plain)
	return append(asJSON, '\n'), asYAML, err
}

// services are those that have routes.
var services = []string{
	"slipfit.v1.CheckService", "slipfit.v1.ShortlistService", "slipfit.v1.SheetService", "slipfit.v1.PackService",
}

type writer struct {
	paths              object
	questions, answers []protoreflect.MessageDescriptor
}

func (w *writer) service(d protoreflect.ServiceDescriptor) error {
	for i := range d.Methods().Len() {
		m := d.Methods().Get(i)
		name := string(d.Name()) + "." + string(m.Name())
		if path, ok := lineRoutes[name]; ok {
			w.meet(m)
			w.paths[path] = object{"post": w.lines(m)}
			continue
		}
		if !proto.HasExtension(m.Options(), annotations.E_Http) {
			continue
		}
		w.meet(m)
		rule := proto.GetExtension(m.Options(), annotations.E_Http).(*annotations.HttpRule)
		switch pattern := rule.Pattern.(type) {
		case *annotations.HttpRule_Get:
			w.paths[pattern.Get] = object{"get": w.unary(m, rule)}
		case *annotations.HttpRule_Post:
			w.paths[pattern.Post] = object{"post": w.unary(m, rule)}
		default:
			return fmt.Errorf("%s has a route that is neither GET nor POST", name)
		}
		if name == "CheckService.Check" {
			w.paths["/"+string(d.FullName())+"/"+string(m.Name())] = object{"get": w.get(m)}
		}
	}
	return nil
}

func (w *writer) meet(m protoreflect.MethodDescriptor) {
	w.questions, w.answers = append(w.questions, m.Input()), append(w.answers, m.Output())
}

// operation is what every operation has.
func (w *writer) operation(m protoreflect.MethodDescriptor) object {
	text := schema.Comment(m)
	summary, _, _ := strings.Cut(text, ". ")
	name := string(m.Name())
	return object{
		"operationId": strings.ToLower(name[:1]) + name[1:], "summary": strings.TrimSuffix(summary, "."), "description": text,
		"tags": []any{string(m.Parent().Name())},
	}
}

// tagged tells of which methods an answer has an entity tag.
func tagged(m protoreflect.MethodDescriptor) bool {
	return m.Name() == "Check" || m.Name() == "MakeSheet"
}

func (w *writer) unary(m protoreflect.MethodDescriptor, rule *annotations.HttpRule) object {
	op := w.operation(m)
	list := []any{parameter("Tenant"), parameter("Wait")}
	failures := []string{"400", "429", "503", "504"}
	if tagged(m) {
		list = append(list, parameter("IfNoneMatch"))
	}
	for i := range m.Input().Fields().Len() {
		f := m.Input().Fields().Get(i)
		switch {
		case strings.Contains(rule.GetGet(), "{"+string(f.Name())+"}"):
			list = append(list, object{"name": string(f.Name()), "in": "path", "required": true, "description": schema.Comment(f), "schema": object{"type": "string", "minLength": 1, "maxLength": 128}})
			failures = append(failures, "404")
		case rule.Body != "*" && rule.Body != string(f.Name()):
			list = append(list, object{"name": string(f.Name()), "in": "query", "description": schema.Comment(f), "schema": object{"type": "string", "maxLength": 64}})
		}
	}
	op["parameters"] = list
	if rule.Body != "" {
		body := m.Input()
		if rule.Body != "*" {
			body = body.Fields().ByName(protoreflect.Name(rule.Body)).Message()
		}
		op["requestBody"] = object{"required": true, "content": object{"application/json": w.body(body)}}
		failures = append(failures, "413", "415")
	}
	content := object{"application/json": object{"schema": reference(m.Output())}}
	if m.Name() == "MakeSheet" {
		content["text/html"] = object{"schema": object{"type": "string"}}
	}
	op["responses"] = responses(object{"description": answered, "content": content}, failures, tagged(m))
	return op
}

// body is a request's body, with an example where there is one.
func (w *writer) body(m protoreflect.MessageDescriptor) object {
	out := object{"schema": reference(m)}
	if example, ok := examples[string(m.Name())]; ok {
		out["example"] = example
	}
	return out
}

const answered = "The answer."

func responses(good object, failures []string, tagged bool) object {
	out := object{"default": object{"$ref": "#/components/responses/Failure"}}
	if tagged {
		good["headers"] = object{"ETag": header("ETag"), "Cache-Control": header("CacheControl"), "Vary": header("Vary")}
		out["304"] = object{"description": "The answer is the one that If-None-Match names. Nothing was worked out.", "headers": object{"ETag": header("ETag")}}
	}
	out["200"] = good
	for _, status := range slices.Compact(slices.Sorted(slices.Values(failures))) {
		out[status] = object{"$ref": "#/components/responses/" + problemNames[status]}
	}
	return out
}

// lines is a stream of lines.
func (w *writer) lines(m protoreflect.MethodDescriptor) object {
	op := w.operation(m)
	op["parameters"] = []any{parameter("Tenant"), parameter("Wait")}
	line := func(d protoreflect.MessageDescriptor, more string) object {
		text := "One " + string(d.Name()) + " a line, as JSON." + more
		return object{"application/x-ndjson": object{"schema": object{"type": "string", "description": text}}}
	}
	op["requestBody"] = object{"required": true, "description": "Lines are answered as they come; the body may stay open.", "content": line(m.Input(), "")}
	good := object{"description": answered, "content": line(m.Output(), ` A stream that breaks off ends in a line {"error": Problem}.`)}
	op["responses"] = responses(good, []string{"400", "415", "429", "503"}, false)
	return op
}

// get is Connect's GET of a check, which shared caches can answer.
func (w *writer) get(m protoreflect.MethodDescriptor) object {
	op := w.operation(m)
	op["operationId"] = "checkByGet"
	op["summary"] = "The same check as a GET that shared caches can answer"
	op["description"] = "By the Connect protocol: the CheckRequest travels in the query. Errors are those of Connect: JSON with code, message and details."
	query := func(name, text string, kind object, required bool) object {
		return object{"name": name, "in": "query", "description": text, "schema": kind, "required": required}
	}
	word := func(words ...string) object { return object{"type": "string", "enum": words} }
	op["parameters"] = []any{
		query("connect", "Version of the protocol.", word("v1"), false),
		query("encoding", "How the message is encoded.", word("json", "proto"), true),
		query("message", "The CheckRequest, as encoding, compression and base64 say.", object{"type": "string"}, true),
		query("base64", "1 where the message is in base64 (RFC 4648, section 5).", word("1"), false),
		query("compression", "How the message is packed, below its base64.", word("identity", "gzip", "zstd"), false),
		parameter("Tenant"), parameter("IfNoneMatch"),
	}
	connectError := object{"description": "Why there is no answer, as Connect tells it.", "content": object{"application/json": object{"schema": object{
		"type": "object", "required": []string{"code"},
		"properties": object{"code": object{"type": "string"}, "message": object{"type": "string"}, "details": object{"type": "array", "items": object{"type": "object"}}},
	}}}}
	good := object{"description": answered, "content": object{
		"application/json":  object{"schema": reference(m.Output())},
		"application/proto": object{"schema": object{"type": "string", "contentMediaType": "application/proto"}},
	}}
	out := responses(good, nil, true)
	out["default"] = connectError
	op["responses"] = out
	return op
}

func reference(m protoreflect.MessageDescriptor) object {
	return object{"$ref": "#/components/schemas/" + string(m.Name())}
}

func parameter(name string) object { return object{"$ref": "#/components/parameters/" + name} }

func header(name string) object { return object{"$ref": "#/components/headers/" + name} }
