#!/usr/bin/env bash
# Builds the program for all systems into a folder, with its SHA-256 sums:
#
#     cmd/bot/release/build.sh [FOLDER]
#
# The same source and the same Go give the same bytes, wherever it is built.
set -euo pipefail

# The Go of the release, which any Go fetches by itself. Up to 1.26.9 there are known
# faults in its net/http and crypto/x509; .ci/run looks for new ones.
export GOTOOLCHAIN=go1.26.10
cd "$(dirname "$0")/../../.."
folder=${1:-release}
mkdir -p "$folder"
for target in linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64; do
	system=${target%/*} machine=${target#*/}
	name=bot-$system-$machine
	[ "$system" = windows ] && name=$name.exe
	GOOS=$system GOARCH=$machine GOAMD64=v1 GOARM64=v8.0 CGO_ENABLED=0 GOFLAGS= \
		go build -trimpath -buildvcs=false -ldflags "-s -w -buildid=" -o "$folder/$name" ./cmd/bot
done
cd "$folder"
sha256sum bot-* > SHA256SUMS
cat SHA256SUMS
