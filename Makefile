# Everything a person or CI does with this repository is one of these targets.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
URL ?= http://127.0.0.1:8080
FOLDER ?= look
ROUNDS ?= 5
FUZZ_TIME ?= 2m
.PHONY: help need build image web demo test test-go test-bucket test-model test-web test-containers test-nodes test-browser test-engines test-old-app test-faults fuzz load soak look audit lint vulnerable vulnerable-newest bench bench-board bench-search bench-photos bench-stock bench-view clean

GO_FILES := $(shell find cmd internal migrations web -name '*.go' -o -name '*.sql' 2>/dev/null)
WEB_FILES := $(shell find web -name node_modules -prune -o -path web/dist -prune -o -type f -print 2>/dev/null)

help: ## Say what each target does
	@awk -F':.*## ' '/^[a-z-]+:.*## /{printf "  make %-16s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

need: ## Install what is missing (npm packages; PostgreSQL from Debian where none is there)
	@deploy/need.sh base

bin/longpoint: $(GO_FILES) web/dist/index.html go.mod
	go build -trimpath -o $@ ./cmd/longpoint

web/src/rulebook/made/rulebook.wasm: $(GO_FILES) go.mod web/scripts/runtime.mjs | web/node_modules/.package-lock.json
	mkdir -p $(@D)
	go run ./cmd/rulebook/pack $@
	node web/scripts/runtime.mjs "$$(go env GOROOT)/lib/wasm/wasm_exec.js" $(@D)/wasm_exec.js

web/node_modules/.package-lock.json: web/package-lock.json
	cd web && npm ci --no-audit --no-fund
	touch $@

web/dist/index.html: web/node_modules/.package-lock.json web/src/rulebook/made/rulebook.wasm $(WEB_FILES)
	cd web && npm run build
	touch $@

web: web/dist/index.html ## Build the web app and the rule book's WebAssembly

build: bin/longpoint ## Build the one program, bin/longpoint

image: bin/longpoint ## Build the container image longpoint:local (needs a container engine)
	CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o bin/longpoint ./cmd/longpoint
	DOCKER_BUILDKIT=0 docker build -q -f deploy/Dockerfile -t longpoint:local .

demo: need bin/longpoint ## Run Longpoint here with an invented house in it
	exec bin/longpoint demo

test: need test-go test-bucket test-model test-web test-containers test-browser test-engines ## All tests; starts every service they need

test-go: web/dist/index.html ## Go tests, with the race detector
	go test -race -timeout 20m $$(go list ./... | grep -v /tests/store)
	go test -count=1 -v -run TestAThousandPhonesListen ./internal/httpapi # the race detector has room for 200
	go test -count=1 -v -run '^TestSpeed' ./internal/joblog ./internal/stock # and is too slow for these

test-bucket: ## Photo storage against a real server of the S3 protocol, built from the module proxy (minutes the first time)
	tests/bucket.sh

test-model: ## Phones, a hostile network and power cuts: 10 000 random commands, each accounted for; prints its seeds
	go test -count=1 -v -timeout 10m ./tests/model

test-faults: ## Kills, cuts, silence, slow links, full disks and clock jumps under load, ROUNDS times; prints what was acknowledged and found
	LONGPOINT_FAULT_ROUNDS=$(ROUNDS) go test -count=1 -v -timeout 60m ./tests/faults

fuzz: ## Fuzz everything that has a fuzz test (JSON doors, cursors, CSV, photos, lengths, rules), FUZZ_TIME each
	@grep -rEo --include='*_test.go' '^func Fuzz[A-Za-z0-9]+' cmd internal | sed 's|/[^/]*:func | |' | sort | while read -r folder name; do \
		echo "fuzz: $$name of $$folder for $(FUZZ_TIME)"; \
		go test -run '^$$' -fuzz "^$$name\$$" -fuzztime $(FUZZ_TIME) ./$$folder; done

test-web: web/dist/index.html ## Unit tests of the web app, and the size of what a phone loads
	cd web && npm test && node scripts/size.mjs

test-containers: ## The store's tests against PostgreSQL in a container, and both compose files
	tests/store/run.sh

test-nodes: ## Two nodes, proxy, pooler, primary and standby in containers: work, a node killed, the primary lost; part of test-containers
	tests/store/run.sh -v -run TestTheNodesComeUp

test-browser: bin/longpoint ## Whole journeys in Chromium
	tests/browser/run.sh

test-engines: bin/longpoint ## The offline journey in Firefox and WebKit
	tests/browser/run.sh --config engines/vitest.config.ts

look: bin/longpoint ## Photograph every screen of a running demo into FOLDER (URL=http://127.0.0.1:8080)
	cd web && node scripts/look-app.mjs "$(FOLDER)" "$(URL)" && node scripts/look-board.mjs "$(URL)" "$(FOLDER)"

audit: bin/longpoint ## Lighthouse's scores of the main screens, each to be 95 or more
	npm --prefix web/tools/audit ci --silent
	node web/tools/audit/audit.mjs

lint: web/node_modules/.package-lock.json ## go vet, staticcheck, the dependency rule, the web app's linter and type check
	@unformatted="$$(gofmt -l cmd internal migrations tests web/*.go)"; [ -z "$$unformatted" ] || { echo "Not gofmt-clean: $$unformatted"; exit 1; }
	go vet ./...
	go tool staticcheck ./...
	go test -count=1 -run TestRuleBook ./tests
	cd web && npm run lint && npm run check && node scripts/check-api.mjs

vulnerable: ## Known vulnerabilities that the program reaches (govulncheck), by the reports pinned in tests/vulnerable.sh
	tests/vulnerable.sh

vulnerable-newest: ## The same by today's reports: before a release, and now and then
	tests/vulnerable.sh newest

bench: bin/longpoint ## Benchmarks, collecting garbage as the service does: the rule book's views, and a tick against pgbench on the same server
	GOGC=400 go test -run '^$$' -bench . -benchtime 1s ./internal/length ./internal/trim ./internal/joblog
	GOGC=400 tests/bench/run.sh

bench-board: ## The board of a job of 300 items and 20 000 entries, alone and among a million items of other jobs, with the plan
	GOGC=400 go run ./tests/bench -board

bench-search: ## The search in a company with such a job, alone and among a million items of its other jobs and of another company
	GOGC=400 go run ./tests/bench -search

load: ## Rising rates to the knee beside pgbench, 1 000 streams, more rows and nodes, a simulation: minutes, best on a quiet machine
	GOGC=400 go run ./tests/load

soak: ## An hour's requests of 40 phones in five minutes, with memory printed and its trend judged
	go run ./tests/load -soak 36000

test-old-app: ## The last program with fewer steps of the schema, built from history, through an upgrade (OLD=commit for another)
	tests/upgrade/old-app.sh $(OLD)

bench-view: web/src/rulebook/made/rulebook.wasm ## A large job viewed in Chromium's WebAssembly, the first time and later, each under 150 ms; a machine that does nothing else
	cd tests/browser && LONGPOINT_VIEW_LIMIT=$${LONGPOINT_VIEW_LIMIT:-150} npx vitest run rulebook-speed

bench-photos: ## 500 photos of 12 megapixels through the door, with the time they took and the most memory held
	go run ./tests/bench/photos -n 500

bench-stock: ## The stock solver: published instances (LONGPOINT_STOCK_INSTANCES names their folder), a job and a house
	LONGPOINT_STOCK_SECONDS=$${LONGPOINT_STOCK_SECONDS:-60} go test -count=1 -timeout 60m -run TestReference -v ./internal/stock
	go test -run '^$$' -bench 'TenHouseJobs|SixtyRooms' -benchtime 1x ./internal/stock

clean: ## Remove what was built (not the demo's data)
	rm -rf bin web/dist web/src/rulebook/made
