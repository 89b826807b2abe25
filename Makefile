# Everything from a fresh machine that has Python 3.11 or newer and make. Where there is no make, the recipes are the commands.
PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin

.DEFAULT_GOAL := help
.PHONY: help setup setup-dev run test test-postgres lint types docs messages bench check lock clean

help:   ## show this list
	@grep -hE '^[a-z-]+: .*##' $(MAKEFILE_LIST) | sed -E 's/:[^#]*## /\t/' | expand -t 15

setup: $(VENV)/.run-ready        ## make the virtual environment that running needs
setup-dev: $(VENV)/.dev-ready    ## the same with what testing needs

$(VENV)/.run-ready: requirements.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --no-deps --editable .
	@touch $@

$(VENV)/.dev-ready: requirements-dev.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements-dev.lock
	$(BIN)/python -m pip install --quiet --no-deps --editable .
	@touch $@ $(VENV)/.run-ready

run: setup         ## open the station with the invented season in the browser, signed in
	@$(BIN)/haulbook serve --demo --open --station season/station

test: setup-dev    ## run all tests (browser tests need chromium, and say so where it is missing)
	$(BIN)/python -m pytest

test-postgres: setup-dev  ## run the tests that touch the database on a PostgreSQL of their own (needs its server)
	tools/with_postgres.sh $(BIN)/python -m pytest tests/station

lint: setup-dev    ## style, and the rule that imports run one way
	$(BIN)/ruff check src tests bench tools
	$(BIN)/ruff format --check src tests bench tools
	$(BIN)/lint-imports

types: setup-dev   ## strict types of all that ships
	$(BIN)/mypy

docs: setup-dev    ## make the generated reference pages and pictures anew (pictures need chromium)
	$(BIN)/python tools/make_docs.py
	$(BIN)/python tools/make_screenshots.py

messages: setup-dev  ## list every text that can be translated, and compile what was
	$(BIN)/python tools/make_messages.py

bench: setup-dev   ## measure against peers, as ratios in one run
	$(BIN)/python -m bench

check: lint types test  ## everything that has to hold before a commit

lock: setup-dev    ## resolve the dependencies anew (needs uv); writes no address
	uv pip compile pyproject.toml --universal --generate-hashes --all-extras --python-version 3.11 --quiet -o requirements.lock
	uv pip compile pyproject.toml --universal --generate-hashes --all-extras --group dev --python-version 3.11 --quiet -o requirements-dev.lock

clean:             ## remove what can be made again
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .hypothesis build dist season
