# Everything from a fresh machine that has Python 3.11 or newer and make. Where there is no make, the recipes are the commands.
PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin

.DEFAULT_GOAL := help
.PHONY: help setup setup-dev run test lint types docs bench check lock clean

help:   ## show this list
	@grep -hE '^[a-z-]+: .*##' $(MAKEFILE_LIST) | sed -E 's/:[^#]*## /\t/' | expand -t 12

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

run: setup         ## do the main job on the invented season and open the accounted season
	@$(BIN)/haulbook demo --out season/invented
	@$(BIN)/haulbook account season/invented/20* --map season/invented/map.toml --permit season/invented/permit.toml \
	    --site season/invented/station.toml --out season/account --open || test $$? -eq 1  # 1: something to settle

test: setup-dev    ## run all tests (browser tests need chromium, and say so where it is missing)
	$(BIN)/python -m pytest

lint: setup-dev    ## style, and the rule that imports run one way
	$(BIN)/ruff check src tests bench tools
	$(BIN)/ruff format --check src tests bench tools
	$(BIN)/lint-imports

types: setup-dev   ## strict types of all that ships
	$(BIN)/mypy

docs: setup-dev    ## make the generated reference pages and pictures anew (pictures need chromium)
	$(BIN)/python tools/make_docs.py
	$(BIN)/python tools/make_screenshots.py

bench: setup-dev   ## measure against peers, as ratios in one run
	$(BIN)/python -m bench

check: lint types test  ## everything that has to hold before a commit

lock: setup-dev    ## resolve the dependencies anew (needs uv); writes no address
	uv pip compile pyproject.toml --universal --generate-hashes --all-extras --python-version 3.11 --quiet -o requirements.lock
	uv pip compile pyproject.toml --universal --generate-hashes --all-extras --group dev --python-version 3.11 --quiet -o requirements-dev.lock

clean:             ## remove what can be made again
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .hypothesis build dist season
