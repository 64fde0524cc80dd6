# The commands of the project: make run, make test, make check. Each does its own set-up.

PYTHON ?= python3
PORT ?= 8000
ifndef SEED
SEED := $(shell date +%s)
endif

BIN := .venv/bin
CHROMIUM := $(shell command -v chromium || command -v chromium-browser || command -v google-chrome)
PIP := $(BIN)/python -m pip --disable-pip-version-check -qq --no-input install --no-deps --require-hashes
PYTEST := $(BIN)/python -m pytest
SEEDS := -p randomly --randomly-seed=$(SEED) --hypothesis-seed=$(SEED)
# A file's tests stay together, so that what they share is made in one of the two processes only.
SIDE_BY_SIDE := -n 2 --dist loadfile --no-loadscope-reorder
# Else every test run compiles, and pytest rewrites, each module again in each of its processes.
unexport PYTHONDONTWRITEBYTECODE
export KITWRIGHT_BASE_URL ?= http://127.0.0.1:$(PORT)

.NOTPARALLEL:
.PHONY: help run test tests-only tests-whole tests-database no-journeys journeys check format benchmark mutants lock clean machine free-port

help:  ## list the commands
	@sed -n 's/^\([a-z-]*\):.*## /\1: /p' Makefile

run: free-port .venv/run.stamp  ## try it out: set up, load the demonstration, serve on PORT (8000)
	@$(BIN)/python manage.py start_demo
	@exec $(BIN)/python manage.py serve --bind 127.0.0.1:$(PORT)

ifeq ($(CHROMIUM),)
test: no-journeys tests-only  ## run all tests; SEED=n repeats a random run
else
test: tests-only journeys
endif

tests-only: machine .venv/dev.stamp  ## run the tests that need no browser
	@$(PYTEST) $(SIDE_BY_SIDE) $(SEEDS)

tests-whole: machine .venv/dev.stamp  ## run them with every sweep walked whole, of which a run takes a part
	@$(PYTEST) $(SIDE_BY_SIDE) $(SEEDS) --whole

tests-database: machine .venv/dev.stamp  ## run those of them that may differ on another database, to be run on a second one
	@$(PYTEST) $(SIDE_BY_SIDE) $(SEEDS) --only-database

no-journeys:
	@echo "journeys: not run, no Chromium"

journeys: machine .venv/dev.stamp  ## run the browser journeys only
	@$(PYTEST) tests/journeys -n 2 --dist worksteal $(SEEDS)

check: machine .venv/dev.stamp  ## format, lint, types, import ladder, house rules, migrations, licences
	@$(BIN)/ruff format --check --quiet .
	@$(BIN)/ruff check --quiet .
	@$(BIN)/mypy & types=$$!; \
		{ $(BIN)/lint-imports && $(BIN)/python manage.py makemigrations --check --dry-run && $(PYTEST) -q tests/architecture; }; \
		rest=$$?; wait $$types && exit $$rest

format: .venv/dev.stamp  ## put the code into the house's format
	@$(BIN)/ruff format --quiet .
	@$(BIN)/ruff check --quiet --fix .

benchmark: machine .venv/dev.stamp  ## time what must be fast
	@$(PYTEST) -m benchmark --benchmark-enable tests/benchmarks

mutants: machine .venv/dev.stamp  ## sow faults into copies of the code and say which tests notice them
	@$(BIN)/python -m tests.mutants.run

lock: .venv/dev.stamp  ## compile the hashed locks from pyproject.toml
	@$(BIN)/python -m pip --disable-pip-version-check --quiet install uv
	@$(BIN)/uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
		pyproject.toml --no-annotate -o requirements.txt
	@$(BIN)/uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
		pyproject.toml --extra dev --no-annotate -c requirements.txt -o requirements-dev.txt

clean:  ## remove the environment and the caches; the data in var stay
	@rm -rf .venv .mypy_cache .ruff_cache .import_linter_cache .hypothesis .benchmarks

machine:
	@$(PYTHON) -m kits.config.prepare

free-port:
	@$(PYTHON) -m kits.config.prepare --port $(PORT)

# The stamps say which lock is installed; they are older than a lock that has changed.
.venv/run.stamp: requirements.txt
	@echo "Installing the packages of requirements.txt (once, about half a minute)"
	@$(PYTHON) -m venv .venv
	@$(PIP) -r requirements.txt
	@touch $@

.venv/dev.stamp: requirements-dev.txt
	@echo "Installing the packages of requirements-dev.txt (once, about a minute)"
	@$(PYTHON) -m venv .venv
	@$(PIP) -r requirements-dev.txt
	@touch $@ .venv/run.stamp
