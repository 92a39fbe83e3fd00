#!/bin/sh
# Builds the pack as one file that Python runs: build.sh FILE
#
# It needs protoc and, to run what it builds, python3 with the modules grpc,
# google.protobuf and cryptography; in Debian these are the packages
# protobuf-compiler, python3-grpcio, python3-protobuf and python3-cryptography.
set -eu
out=$(realpath -m "$1")
cd "$(dirname "$0")"
root=$(cd ../.. && pwd)
[ -e "$root/.buf/deps/google" ] || sh "$root/proto/tools/generate.sh" deps
python=${PYTHON:-/usr/bin/python3}

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
pack=$work/pack
mkdir "$pack"
cp -r __main__.py parcel "$pack"
(
  cd "$root/proto"
  protoc -I . -I "$root/.buf/deps" --include_imports -o "$work/all.binpb" \
    slipfit/v1/check_service.proto slipfit/v1/fact.proto slipfit/pack/v1/pack_service.proto
)
# Field rules and HTTP paths are for the host, which has applied them: without them the
# pack needs no modules of theirs.
"$python" - "$work" >"$work/names" <<'EOF'
import pathlib, sys
from google.protobuf import descriptor_pb2

work = pathlib.Path(sys.argv[1])
every = descriptor_pb2.FileDescriptorSet.FromString((work / "all.binpb").read_bytes())
every.DiscardUnknownFields()
own = descriptor_pb2.FileDescriptorSet()
for file in every.file:
    if file.name.startswith("slipfit/"):
        kept = [name for name in file.dependency if name.startswith(("slipfit/", "google/protobuf/"))]
        del file.dependency[:]
        file.dependency.extend(kept)
        print(file.name)
    if file.name.startswith(("slipfit/", "google/protobuf/")):
        own.file.append(file)
(work / "own.binpb").write_bytes(own.SerializeToString())
EOF
# shellcheck disable=SC2046
protoc --descriptor_set_in="$work/own.binpb" --python_out="$pack" $(cat "$work/names")
# Python finds packages in an archive by this file alone.
find "$pack" -mindepth 1 -type d ! -name __pycache__ -exec touch {}/__init__.py \;
find "$pack" -name __pycache__ -prune -exec rm -r {} +
"$python" - "$pack" "$out" <<'EOF'
import pathlib, sys, zipfile

pack, out = pathlib.Path(sys.argv[1]), sys.argv[2]
with open(out, "wb") as file:
    file.write(b"#!/usr/bin/env python3\n")
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(pack.rglob("*.py")):
            # An archive keeps times; with one for all, the same sources give the same bytes.
            info = zipfile.ZipInfo(str(path.relative_to(pack)), (1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, path.read_bytes())
EOF
chmod +x "$out"
