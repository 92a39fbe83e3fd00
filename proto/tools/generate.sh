#!/bin/sh
# Fills .buf/deps and writes the generated Go code beside the protos.
#   generate.sh deps    only the dependencies, for buf lint and buf breaking
#   generate.sh         dependencies and code
set -eu
cd "$(dirname "$0")/../.."

# The module is wanted for its .proto file alone, so no go.mod can hold its version.
dir=$(go mod download -json github.com/bufbuild/protovalidate@v1.2.2 | sed -n 's/.*"Dir": "\(.*\)".*/\1/p')
rm -rf .buf/deps
mkdir -p .buf/deps/buf/validate
cp "$dir/proto/protovalidate/buf/validate/validate.proto" .buf/deps/buf/validate/
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
