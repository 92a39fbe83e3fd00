#!/bin/sh
# Fills .buf/deps and writes the generated Go code beside the protos.
#   generate.sh deps    only the dependencies, for buf lint and buf breaking
#   generate.sh         dependencies and code
set -eu
cd "$(dirname "$0")/../.."

# Modules that are wanted for their .proto files alone, so that no go.mod can hold
# their versions: the field rules, and the HTTP routes of methods.
module() { go mod download -json "$1" | sed -n 's/.*"Dir": "\(.*\)".*/\1/p'; }
rules=$(module github.com/bufbuild/protovalidate@v1.2.2)
routes=$(module github.com/grpc-ecosystem/grpc-gateway@v1.16.0)
rm -rf .buf/deps
mkdir -p .buf/deps/buf/validate .buf/deps/google/api
cp "$rules/proto/protovalidate/buf/validate/validate.proto" .buf/deps/buf/validate/
for file in annotations http; do
  cp "$routes/third_party/googleapis/google/api/$file.proto" .buf/deps/google/api/
done
chmod -R u+w .buf/deps
[ "${1:-}" = deps ] && exit 0

# Written aside first, so that a failure leaves the code as it was, and only what
# differs is touched.
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
go tool -modfile=proto/tools/go.mod buf generate -o "$fresh"
find proto/slipfit -name '*.pb.go' | while read -r old; do
  [ -e "$fresh/$old" ] || rm "$old"
done
(cd "$fresh" && find proto -name '*.pb.go') | while read -r new; do
  cmp -s "$fresh/$new" "$new" || { mkdir -p "$(dirname "$new")" && cp "$fresh/$new" "$new"; }
done

# The HTTP routes by OpenAPI, with the contract's own words.
go tool -modfile=proto/tools/go.mod buf build --as-file-descriptor-set -o "$fresh/contract.binpb"
mkdir "$fresh/openapi"
go run ./clients/openapi/write "$fresh/contract.binpb" "$fresh/openapi"
for file in openapi.json openapi.yaml; do
  cmp -s "$fresh/openapi/$file" "proto/openapi/$file" || cp "$fresh/openapi/$file" proto/openapi/
done
