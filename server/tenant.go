package server

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	"slipfit.example/server/document"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/policy"
)

// TenantHeader is the request metadata by which a tenant's policy is found. The
// service believes it: who may send it is for whatever stands before the service.
const TenantHeader = "slipfit-tenant"

// tenants are the policies of the service, laid over each other once at start.
type tenants struct {
	all  policy.Values
	each map[string]policy.Values
	owns map[string]policy.Values // each without all
}

// newTenants lays each tenant's policy over the one for all, and refuses values
// that the packs that serve cannot follow.
func newTenants(file *policy.Tenants, p *pipeline.Pipeline) (*tenants, error) {
	if file == nil {
		return &tenants{}, nil
	}
	if err := p.VetPolicy(file.All); err != nil {
		return nil, fmt.Errorf("the policy for all tenants cannot be followed: %w", err)
	}
	t := &tenants{all: file.All, each: make(map[string]policy.Values, len(file.Each)), owns: file.Each}
	for _, name := range slices.Sorted(maps.Keys(file.Each)) {
		if err := p.VetPolicy(file.Each[name]); err != nil {
			return nil, fmt.Errorf("the policy of the tenant %q cannot be followed: %w", name, err)
		}
		t.each[name] = file.Each[name].Over(file.All)
	}
	return t, nil
}

// of finds the policy that lies under the requests of one call.
func (t *tenants) of(ctx context.Context) (policy.Values, error) {
	names := metadata.ValueFromIncomingContext(ctx, TenantHeader)
	switch {
	case len(names) == 0:
		return t.all, nil
	case len(names) > 1:
		return nil, tenantRefusal(fmt.Sprintf("the request names %d tenants in %s; name one", len(names), TenantHeader))
	}
	values, known := t.each[names[0]]
	if !known {
		return nil, tenantRefusal(fmt.Sprintf("no tenant is called %.64q here; ask the keeper of the service, or leave out %s", names[0], TenantHeader))
	}
	return values, nil
}

// own is what the tenant of one call sets itself. The call is one that of lets pass.
func (t *tenants) own(ctx context.Context) policy.Values {
	names := metadata.ValueFromIncomingContext(ctx, TenantHeader)
	if len(names) != 1 {
		return nil
	}
	return t.owns[names[0]]
}

func tenantRefusal(reason string) error {
	st, err := status.New(codes.InvalidArgument, reason).WithDetails(&errdetails.ErrorInfo{Reason: "NO_SUCH_TENANT", Domain: document.Domain})
	if err != nil {
		panic(err) // a detail of a known type
	}
	return st.Err()
}
