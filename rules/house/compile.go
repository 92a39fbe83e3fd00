package house

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/checker"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/interpreter"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	v1 "slipfit.example/proto/slipfit/v1"
)

// language is CEL over the contract: "build", the facts under their names, and in
// a rule about a kind of part "item", "part" and the kind.
type language struct {
	base *cel.Env
	kind map[string]*cel.Env
}

func newLanguage() (*language, error) {
	messages, err := theContract()
	if err != nil {
		return nil, err
	}
	options := []cel.EnvOption{
		cel.CustomTypeAdapter(messages.Registry), cel.CustomTypeProvider(messages),
		cel.Variable("build", cel.ObjectType("slipfit.v1.Build")),
		cel.CrossTypeNumericComparisons(true),
		cel.ParserExpressionSizeLimit(maxExpression),
		cel.ParserRecursionLimit(2 * maxDepth),
		cel.ExpressionNestingDepthLimit(maxDepth),
		cel.DefaultUTCTimeZone(true),
	}
	for name := range factContent {
		options = append(options, cel.Variable(factPrefix+name, cel.ObjectType(string(factMessage(name).FullName()))))
	}
	base, err := cel.NewEnv(options...)
	if err != nil {
		return nil, fmt.Errorf("the language of house rules cannot be made: %w", err)
	}
	return &language{base: base, kind: map[string]*cel.Env{}}, nil
}

// contractTypes are all messages of the contract.
func contractTypes() (*types.Registry, error) {
	registry, err := types.NewRegistry()
	if err != nil {
		return nil, err
	}
	contract := (&v1.Build{}).ProtoReflect().Descriptor().ParentFile().Package()
	protoregistry.GlobalFiles.RangeFilesByPackage(contract, func(file protoreflect.FileDescriptor) bool {
		err = errors.Join(err, registry.RegisterDescriptor(file))
		return true
	})
	return registry, err
}

// of is the language of a rule about one kind of part, or about the build.
func (l *language) of(kind string) (*cel.Env, error) {
	if kind == "" {
		return l.base, nil
	}
	if env := l.kind[kind]; env != nil {
		return env, nil
	}
	env, err := l.base.Extend(
		cel.Variable("item", cel.ObjectType("slipfit.v1.Item")),
		cel.Variable("part", cel.ObjectType("slipfit.v1.Part")),
		cel.Variable(kind, cel.ObjectType(string(kindField(kind).Message().FullName()))),
	)
	if err == nil {
		l.kind[kind] = env
	}
	return env, err
}

// expression is one compiled expression.
type expression struct {
	program cel.Program
	reads   []string // paths without places in lists, from "build." or the kind
	facts   []string // that it names
}

// over is a context that has ended: the one look at it that CEL takes is at the
// step at which an expression has to end. Counting steps gives the same on every
// machine, which a clock does not; following CEL's own costs as well would more than
// double the time of an expression.
var over = func() context.Context {
	ctx, end := context.WithCancel(context.Background())
	end()
	return ctx
}()

// eval gives the expression's value. An error is a want of data, a step too many,
// or arithmetic that has no answer.
func (e *expression) eval(d *desk) (ref.Val, error) {
	value, _, err := e.program.Eval(d.frame)
	if err != nil && errors.As(err, new(interpreter.InterruptError)) {
		// All rules of a case count on one frame, since making one costs as much as a small
		// rule. Which of them is too much is seen by itself.
		d.renew()
		value, _, err = e.program.Eval(d.frame)
	}
	if err != nil && errors.As(err, new(interpreter.InterruptError)) {
		d.renew()
		return nil, fmt.Errorf("it takes more than %d steps over the lists of this build", maxSteps)
	}
	return value, err
}

// place is a complaint about one place of an expression.
type place struct {
	line, column int // in the expression, 1 and 0 first
	reason       string
}

func (p *place) Error() string { return p.reason }

// compile checks an expression against the types of the contract and the limits.
// The error is a *place, or several joined.
func compile(env *cel.Env, text string, want ...*cel.Type) (*expression, error) {
	checked, issues := env.Compile(text)
	if issues.Err() != nil {
		var errs []error
		for _, e := range issues.Errors() {
			reason := plainly(e.Message)
			before, rest := cut(text, e.Location.Line(), e.Location.Column())
			reason += suggestion(reason, before, rest, names(env))
			errs = append(errs, &place{e.Location.Line(), e.Location.Column(), reason})
		}
		return nil, errors.Join(errs...)
	}
	whole := func(format string, args ...any) error { return &place{1, 0, fmt.Sprintf(format, args...)} }
	if !slices.ContainsFunc(want, checked.OutputType().IsExactType) {
		return nil, whole("the expression gives %s and %s is wanted", checked.OutputType(), typeWords(want))
	}
	cost, err := env.EstimateCost(checked, sizes{})
	if err != nil {
		return nil, whole("its cost cannot be estimated: %v", err)
	}
	if cost.Max > unbounded {
		return nil, whole("the expression compares or builds something of no known size; compare single fields")
	}
	if cost.Max > maxEstimate {
		return nil, whole("the expression may cost %d steps on a large build, more than the %d allowed; nest fewer lists", cost.Max, maxEstimate)
	}
	program, err := env.Program(checked, cel.EvalOptions(cel.OptOptimize), cel.InterruptCheckFrequency(maxSteps))
	if err != nil {
		return nil, whole("%v", err)
	}
	e := &expression{program: program}
	e.look(checked.NativeRep())
	return e, nil
}

// cut takes a text apart at a line, the first being 1, and a column, the first being 0.
// Of what comes before, the line is enough.
func cut(text string, line, column int) (before, rest string) {
	for ; line > 1; line-- {
		_, text, _ = strings.Cut(text, "\n")
	}
	runes := []rune(text)
	at := min(max(column, 0), len(runes))
	return string(runes[:at]), string(runes[at:])
}

// names are the variables that an expression may use, but for facts.
func names(env *cel.Env) (out []string) {
	for _, v := range env.Variables() {
		if name := v.Name(); !strings.HasPrefix(name, factPrefix) && !slices.Contains(out, name) && v.Type().Kind() == types.StructKind {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// plainly makes one line of CEL's words.
func plainly(message string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(message), " "), " (in container '')", "")
}

func typeWords(want []*cel.Type) string {
	var words []string
	for _, t := range want {
		words = append(words, t.String())
	}
	return strings.Join(words, " or ")
}

// look finds the fields and facts that a checked expression names.
func (e *expression) look(checked *ast.AST) {
	facts, reads := map[string]bool{}, map[string]bool{}
	for _, r := range checked.ReferenceMap() {
		if name, ok := strings.CutPrefix(r.Name, factPrefix); ok {
			facts[name] = true
		}
	}
	ast.PostOrderVisit(checked.Expr(), ast.NewExprVisitor(func(node ast.Expr) {
		if path, ok := selection(node); ok {
			reads[path] = true
		}
	}))
	e.facts, e.reads = sorted(facts), sorted(reads)
	// A field of a message that is read further is no reading of its own.
	e.reads = slices.DeleteFunc(e.reads, func(p string) bool {
		return slices.ContainsFunc(e.reads, func(q string) bool { return strings.HasPrefix(q, p+".") })
	})
}

// selection is the path of a chain of selections from a variable.
func selection(node ast.Expr) (string, bool) {
	switch node.Kind() {
	case ast.SelectKind:
		s := node.AsSelect()
		if path, ok := selection(s.Operand()); ok {
			return path + "." + s.FieldName(), true
		}
	case ast.IdentKind:
		name := node.AsIdent()
		return name, !strings.HasPrefix(name, "@") && !strings.HasPrefix(name, factPrefix)
	}
	return "", false
}

// sizes tells the estimate how long lists and texts are taken to be.
type sizes struct{}

// EstimateSize is the length of a list or a text that the document holds.
func (sizes) EstimateSize(node checker.AstNode) *checker.SizeEstimate {
	switch node.Type().Kind() {
	case types.ListKind, types.MapKind:
		return &checker.SizeEstimate{Min: 0, Max: listLength}
	case types.StringKind, types.BytesKind:
		return &checker.SizeEstimate{Min: 0, Max: textLength}
	}
	return nil
}

// EstimateCallCost leaves calls to CEL's own model.
func (sizes) EstimateCallCost(string, string, *checker.AstNode, []checker.AstNode) *checker.CallEstimate {
	return nil
}

func sorted(set map[string]bool) []string {
	out := make([]string, 0, len(set))
	for name := range set {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}
