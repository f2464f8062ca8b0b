# make test   everything .ci/run runs
# make cluster  workers and servers killed over NARRATIONS (5000); test does so over 150
# make fuzz   every fuzz target for FUZZTIME
# make bench  a table of how fast the stages and the whole way are; make benchall every benchmark
# make growth time and memory over texts of many shapes, up to GROWTH bytes
# make build  the program, as ./saywatt; TAGS=noserver for one without a NATS server
# make fit    every table that is counted or fitted on marked narrations, each after those it rests on

SHELL := /bin/bash
FUZZTIME ?= 20s
GROWTH ?= 1048576
NARRATIONS ?= 5000

# Public test data is not kept in this repository. Tests that want it skip
# with a message where this is unset.
SAYWATT_BENCHMARKS ?= $(realpath ../shared/benchmarks)
export SAYWATT_BENCHMARKS

.PHONY: test tools check vulnerable unit race cluster fuzz bench benchall growth build fit

test: tools check unit race

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
	@dead=$$(go tool deadcode ./...) || exit 1; \
	if [ -n "$$dead" ]; then echo "nothing that is built calls these:"; echo "$$dead"; exit 1; fi
	go build -tags noserver -o /dev/null ./cmd/saywatt
	@$(MAKE) --no-print-directory vulnerable

# Known vulnerabilities of what the program imports, where govulncheck is there
# and its data can be reached. It exits with 3 where it found some.
vulnerable:
	@if ! command -v govulncheck >/dev/null; then \
		echo "not there: govulncheck; known vulnerabilities were not looked for"; \
	else \
		govulncheck ./...; status=$$?; \
		if [ $$status = 3 ]; then exit 1; fi; \
		if [ $$status != 0 ]; then echo "govulncheck cannot reach its data; known vulnerabilities were not looked for"; fi; \
	fi

# The seeds of every fuzz target run here too, as ordinary tests. "check" has vetted
# everything.
unit:
	go test -vet=off ./...

# Where goroutines meet, and which tests of a folder do. All are compiled at once, then
# two folders run at a time, the longest first.
race:
	go test -race -vet=off -c -o "$(RACED)/" $(MEETING)
	@$(MAKE) --no-print-directory -j2 --output-sync=target RACED="$(RACED)" $(MEETING); \
	status=$$?; rm -rf "$(RACED)"; exit $$status

# A folder that is there only while they run.
RACED := $(shell mktemp -u)
MEETING = ./internal/desk ./internal/work ./cmd/saywatt ./internal/archive ./internal/pipeline
.PHONY: $(MEETING)
./internal/desk:     MEET = .
./internal/work:     MEET = SameBytes|Answers|Graceful|Metrics
./cmd/saywatt:       MEET = TestScripts/(desk|archive)
./internal/archive:  MEET = Readers|OneWriter|Facets|Panic
./internal/pipeline: MEET = ParallelRuns|Reader
$(MEETING):
	@echo "race detector: $@ -run '$(MEET)'"
	@cd $@ && "$(RACED)/$(@F).test" -test.paniconexit0 -test.short -test.timeout 10m -test.run '$(MEET)'

# Three servers with replicated streams and four workers, killed at random.
cluster:
	SAYWATT_WORK_NARRATIONS=$(NARRATIONS) go test ./internal/work -run 'TestCluster$$' -timeout 60m -v

fuzz:
	@set -e; \
	grep -rn --include='*_test.go' -oE '^func Fuzz\w+' . | sed -E 's/:[0-9]+:func /:/' | \
	while IFS=: read -r file name; do \
		echo "== $$name in $$(dirname $$file)"; \
		go test "$$(dirname $$file)" -run '^$$' -fuzz "^$$name\$$" -fuzztime $(FUZZTIME) -fuzzminimizetime 100x; \
	done

# On one processor. The bare scan is the yardstick: it reads every byte once.
bench:
	@printf '%-28s %12s %12s\n' "" "MB/s" "ms"; \
	(GOMAXPROCS=1 go test ./extract -run '^$$' -bench '^Benchmark(Scan|Mentions|Places)$$'; \
	GOMAXPROCS=1 go test ./internal/pipeline -run '^$$' -bench '^Benchmark(RunFiles|RunLength|Reread)$$') | \
	awk '/^Benchmark/ { sub(/^Benchmark/, "", $$1); speed = "-"; for (i = 3; i < NF; i++) if ($$(i+1) == "MB/s") speed = $$i; \
		printf "%-28s %12s %12.2f\n", $$1, speed, $$3/1e6 }'

benchall:
	go test ./... -run '^$$' -bench . -benchmem

growth:
	SAYWATT_GROWTH=$(GROWTH) go test ./internal/pipeline -run 'TestGrowth' -v -timeout 2h | grep 'n^'

# Without the tables of symbols, which only a debugger needs. TAGS=noserver
# leaves the NATS server out, 10 MB: "send", "work" and "gather" then need one
# that --broker names. Without C nothing is linked when the program starts, which
# takes 3 ms less.
build:
	CGO_ENABLED=0 go build -tags "$(TAGS)" -trimpath -ldflags "-s -w" -o saywatt ./cmd/saywatt

# Parts and readings are fitted on places that were found without the narration, as they
# are found in one that nobody marked: the models of them leave out groups of
# testdata/tuning and know nothing of testdata/fresh.
MARKED = testdata/tuning/*.mark testdata/fresh/*.mark
fit:
	@set -e; models=$$(mktemp -d); trap 'rm -rf "$$models"' EXIT; \
	go run ./internal/soundfit -common testdata/tuning/*.mark >"$$models/common.tsv"; \
	cp "$$models/common.tsv" extract/sound/tables/common.tsv; \
	go run ./internal/namefit -write extract/name/tables/weights.tsv $(MARKED); \
	go run ./internal/kindfit -write extract/product/tables/weights.tsv $(MARKED); \
	go run ./internal/placefit -fold 4 -models "$$models" testdata/tuning/*.mark; \
	go run ./internal/placefit -write extract/place/tables/weights.tsv $(MARKED); \
	go run ./internal/placefit -own -penalty 2 -write extract/place/tables/ownports.tsv $(MARKED); \
	go run ./internal/placefit -ports -penalty 16 -write extract/place/tables/ports.tsv testdata/tuning/*.mark; \
	go run ./internal/partfit -models "$$models" -write extract/part/tables/weights.tsv testdata/tuning/*.mark; \
	go run ./internal/readfit -units normalize/prior/tables/placeunits.tsv $(MARKED); \
	go run ./internal/readfit -models "$$models" -write normalize/tables/traits.tsv $(MARKED)
