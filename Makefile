# make test   everything .ci/run runs
# make fuzz   every fuzz target for FUZZTIME
# make bench  the benchmarks
# make build  the program, as ./saywatt

SHELL := /bin/bash
FUZZTIME ?= 20s

# Public test data is not kept in this repository. Tests that want it skip
# with a message where this is unset.
SAYWATT_BENCHMARKS ?= $(realpath ../shared/benchmarks)
export SAYWATT_BENCHMARKS

.PHONY: test units check unit race fuzz bench build

test: units check unit race

# GNU units is the outside reference of the unit conversions. Where it can
# neither be found nor installed, that test skips with a message.
units:
	@command -v units >/dev/null || \
	if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
		(apt-get -qq update && apt-get -qq install -y units) >/dev/null 2>&1 || echo "GNU units could not be installed; its test will skip"; \
	else \
		echo "GNU units is not there; its test will skip"; \
	fi

check:
	@unformatted=$$(gofmt -l .); \
	if [ -n "$$unformatted" ]; then echo "gofmt would change:"; echo "$$unformatted"; exit 1; fi
	go vet ./...
	go tool staticcheck ./...

# The seeds of every fuzz target run here too, as ordinary tests.
unit:
	go test ./...

# Where goroutines meet.
race:
	go test -race ./internal/pipeline/... ./cmd/...

fuzz:
	@set -e; \
	grep -rn --include='*_test.go' -oE '^func Fuzz\w+' . | sed -E 's/:[0-9]+:func /:/' | \
	while IFS=: read -r file name; do \
		echo "== $$name in $$(dirname $$file)"; \
		go test "$$(dirname $$file)" -run '^$$' -fuzz "^$$name\$$" -fuzztime $(FUZZTIME); \
	done

bench:
	go test ./... -run '^$$' -bench . -benchmem

build:
	go build -o saywatt ./cmd/saywatt
