# make test   everything .ci/run runs
# make cluster  workers and servers killed over 5,000 narrations, a part of test
# make fuzz   every fuzz target for FUZZTIME
# make bench  the benchmarks
# make build  the program, as ./saywatt
# make fit    the weights of places, parts and readings, from testdata/tuning

SHELL := /bin/bash
FUZZTIME ?= 20s

# Public test data is not kept in this repository. Tests that want it skip
# with a message where this is unset.
SAYWATT_BENCHMARKS ?= $(realpath ../shared/benchmarks)
export SAYWATT_BENCHMARKS

.PHONY: test tools check unit race cluster fuzz bench build fit

test: tools check unit race cluster

# What tests use where it is there and skip without, saying so: GNU units (the
# outside reference of the conversions), chromium (a caption player and the
# pages) and tidy (HTML). Only root on a machine with apt installs what is
# missing; nobody else is asked for anything.
tools:
	@missing=; \
	for tool in units chromium tidy; do command -v $$tool >/dev/null || missing="$$missing $$tool"; done; \
	if [ -n "$$missing" ]; then \
		if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
			(apt-get -qq update && DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends $$missing) >/dev/null 2>&1 || \
			echo "could not install$$missing; tests that want it will skip"; \
		else \
			echo "not there:$$missing; tests that want it will skip"; \
		fi; \
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
	go test -race ./internal/pipeline/... -skip 'Scores|Invariance'
	go test -race ./cmd/... -run 'TestScripts/(desk|archive|formats|several)'
	go test -race -short ./internal/desk
	go test -race ./internal/archive -run 'Readers|OneWriter|Facets|Panic'
	go test -race -short ./internal/work -run 'SameBytes|Answers|Graceful|Metrics'

# Three servers with replicated streams and four workers, killed at random.
cluster:
	SAYWATT_WORK_NARRATIONS=5000 go test ./internal/work -run 'TestCluster$$' -timeout 60m -v

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

# Parts are fitted on places that were found without the narration, as they are
# found in one that nobody marked.
fit:
	@set -e; models=$$(mktemp -d); trap 'rm -rf "$$models"' EXIT; \
	go run ./internal/namefit -write extract/name/tables/weights.tsv testdata/tuning/*.mark; \
	go run ./internal/placefit -fold 8 -models "$$models" testdata/tuning/*.mark; \
	go run ./internal/placefit -write extract/place/tables/weights.tsv testdata/tuning/*.mark; \
	go run ./internal/placefit -ports -penalty 8 -write extract/place/tables/ports.tsv testdata/tuning/*.mark; \
	go run ./internal/partfit -models "$$models" -write extract/part/tables/weights.tsv testdata/tuning/*.mark; \
	go run ./internal/readfit -models "$$models" -write normalize/tables/traits.tsv testdata/tuning/*.mark
