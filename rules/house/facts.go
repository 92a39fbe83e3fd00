package house

import (
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
)

// factPrefix begins the name of every fact in an expression.
const factPrefix = "facts."

// factContent is the field of slipfit.v1.Fact that holds each fact, by the
// contract's fact.proto.
var factContent = map[string]protoreflect.Name{
	"clearance.arrangement": "arrangement",
	"clearance.ranking":     "ranking",
	"power.demand":          "demand",
	"power.circuit":         "circuit",
	"thermal.forecast":      "forecast",
	"thermal.settings":      "settings",
	"mounting.assembly":     "assembly",
	"interface.links":       "links",
}

// factMessage is the type of a fact's content.
func factMessage(name string) protoreflect.MessageDescriptor {
	return factField(name).Message()
}

func factField(name string) protoreflect.FieldDescriptor {
	return (&v1.Fact{}).ProtoReflect().Descriptor().Fields().ByName(factContent[name])
}

// kindField is the field of slipfit.v1.Part that holds each kind of part.
func kindField(kind string) protoreflect.FieldDescriptor {
	oneof := (&v1.Part{}).ProtoReflect().Descriptor().Oneofs().ByName("kind")
	return oneof.Fields().ByName(protoreflect.Name(kind))
}

// kinds are the names of all kinds of parts.
func kinds() (names []string) {
	fields := (&v1.Part{}).ProtoReflect().Descriptor().Oneofs().ByName("kind").Fields()
	for i := range fields.Len() {
		names = append(names, string(fields.Get(i).Name()))
	}
	return names
}
