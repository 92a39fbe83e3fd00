package gateway

import (
	"fmt"
	"net/http"
	"regexp"
	"strings"

	"google.golang.org/genproto/googleapis/api/annotations"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/descriptorpb"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/jsonwire"
)

// method is a unary method of the contract.
type method struct {
	name            string // "/package.Service/Method"
	desc            protoreflect.MethodDescriptor
	request, answer *jsonwire.Codec
	safe            bool // it changes nothing
	// question gives the encoded CheckRequest in a request, whose ruleset decides the
	// answer together with the request. Nil: something else decides as well.
	question func(request []byte) []byte
}

// route is a method at a place of its own.
type route struct {
	*method
	verb, path string
	whole      bool                        // the body is the request
	body       *jsonwire.Codec             // the body is one field of it
	bodyNumber protowire.Number            // its number
	variable   string                      // of the path; empty: none
	texts      map[string]protowire.Number // text fields that path and query set
}

// questions tells of which methods an answer depends on the request and on the
// ruleset of a check alone.
var questions = map[string]func(request []byte) []byte{
	v1.CheckService_Check_FullMethodName:     func(request []byte) []byte { return request },
	v1.SheetService_MakeSheet_FullMethodName: firstField,
}

// firstField is the content of field 1, which comes first.
func firstField(request []byte) []byte {
	number, _, n := protowire.ConsumeTag(request)
	if n < 0 || number != 1 {
		return nil
	}
	value, m := protowire.ConsumeBytes(request[n:])
	if m < 0 {
		return nil
	}
	return value
}

// eachMethod visits the methods that the service has.
func (g *Gateway) eachMethod(visit func(service protoreflect.ServiceDescriptor, m protoreflect.MethodDescriptor, info grpc.MethodInfo) error) error {
	for name, info := range g.service.Transcoded().GetServiceInfo() {
		d, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(name))
		if err != nil {
			return fmt.Errorf("the service %s is not in the contract: %w", name, err)
		}
		service := d.(protoreflect.ServiceDescriptor)
		for _, m := range info.Methods {
			if err := visit(service, service.Methods().ByName(protoreflect.Name(m.Name)), m); err != nil {
				return err
			}
		}
	}
	return nil
}

func newMethod(d protoreflect.MethodDescriptor) (*method, error) {
	m := &method{name: fullName(d), desc: d}
	options, _ := d.Options().(*descriptorpb.MethodOptions)
	m.safe = options.GetIdempotencyLevel() == descriptorpb.MethodOptions_NO_SIDE_EFFECTS
	m.question = questions[m.name]
	var err error
	if m.request, err = codecOf(d.Input()); err != nil {
		return nil, err
	}
	m.answer, err = codecOf(d.Output())
	return m, err
}

func fullName(d protoreflect.MethodDescriptor) string {
	return "/" + string(d.Parent().FullName()) + "/" + string(d.Name())
}

func codecOf(d protoreflect.MessageDescriptor) (*jsonwire.Codec, error) {
	kind, err := protoregistry.GlobalTypes.FindMessageByName(d.FullName())
	if err != nil {
		return nil, fmt.Errorf("the message %s is not in this program: %w", d.FullName(), err)
	}
	return jsonwire.New(kind)
}

// addRoutes adds the routes of google.api.http.
func (g *Gateway) addRoutes(mux *http.ServeMux) error {
	verbs := map[string][]string{}
	err := g.eachMethod(func(_ protoreflect.ServiceDescriptor, d protoreflect.MethodDescriptor, info grpc.MethodInfo) error {
		if info.IsClientStream || info.IsServerStream || !proto.HasExtension(d.Options(), annotations.E_Http) {
			return nil
		}
		r, err := newRoute(d, proto.GetExtension(d.Options(), annotations.E_Http).(*annotations.HttpRule))
		if err != nil {
			return err
		}
		mux.HandleFunc(r.verb+" "+r.path, func(w http.ResponseWriter, request *http.Request) { g.unary(w, request, r) })
		verbs[r.path] = append(verbs[r.path], r.verb)
		return nil
	})
	for path, list := range verbs {
		mux.HandleFunc(path, func(w http.ResponseWriter, r *http.Request) { wrongVerb(w, r, list) })
	}
	mux.HandleFunc("/", noRoute)
	return err
}

var pathForm = regexp.MustCompile(`^/[a-z0-9/-]*(\{([a-z_]+)\})?$`)

func newRoute(d protoreflect.MethodDescriptor, rule *annotations.HttpRule) (*route, error) {
	m, err := newMethod(d)
	if err != nil {
		return nil, err
	}
	r := &route{method: m, texts: map[string]protowire.Number{}}
	switch pattern := rule.Pattern.(type) {
	case *annotations.HttpRule_Get:
		r.verb, r.path = http.MethodGet, pattern.Get
	case *annotations.HttpRule_Post:
		r.verb, r.path = http.MethodPost, pattern.Post
	default:
		return nil, fmt.Errorf("%s: the gateway knows routes of GET and POST", m.name)
	}
	form := pathForm.FindStringSubmatch(r.path)
	if form == nil {
		return nil, fmt.Errorf("%s: the gateway knows paths with one variable at their end, not %s", m.name, r.path)
	}
	r.variable = form[2]
	return r, r.bind(d.Input(), rule.Body)
}

// bind says where the request's fields come from.
func (r *route) bind(input protoreflect.MessageDescriptor, body string) error {
	r.whole = body == "*"
	for i := range input.Fields().Len() {
		f := input.Fields().Get(i)
		switch {
		case r.whole:
		case string(f.Name()) == body:
			var err error
			if r.body, err = codecOf(f.Message()); err != nil {
				return err
			}
			r.bodyNumber = f.Number()
		case f.Kind() == protoreflect.StringKind && !f.IsList():
			r.texts[string(f.Name())] = f.Number()
		default:
			return fmt.Errorf("%s: %s can come neither from path nor from query", r.name, f.Name())
		}
	}
	if _, ok := r.texts[r.variable]; r.variable != "" && !ok {
		return fmt.Errorf("%s: the path's %s is no text field", r.name, r.variable)
	}
	return nil
}

// wrongVerb answers for a route that is not asked as it can be.
func wrongVerb(w http.ResponseWriter, r *http.Request, verbs []string) {
	w.Header().Set("Allow", strings.Join(verbs, ", "))
	problem{
		Status: http.StatusMethodNotAllowed, Title: "Method not allowed", Code: "UNIMPLEMENTED",
		Detail: fmt.Sprintf("%s is asked by %s, not by %s.", r.URL.Path, strings.Join(verbs, " or "), r.Method),
	}.write(w)
}

// noRoute answers for what is not there.
func noRoute(w http.ResponseWriter, r *http.Request) {
	problem{
		Status: http.StatusNotFound, Title: "Not found", Code: "NOT_FOUND",
		Detail: fmt.Sprintf("Nothing answers at %.200s; /openapi.json lists what does.", r.URL.Path),
	}.write(w)
}
