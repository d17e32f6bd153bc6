# Two commands do everything on a fresh machine: `make demo` and `make test`.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
STAMP  := $(VENV)/.installed

.DEFAULT_GOAL := help
.PHONY: help setup demo test lint types wheel-check bench clean

help: ## this list
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | sort

setup: $(STAMP) ## make the virtual environment (again only when pyproject.toml changes)

$(STAMP): pyproject.toml
	@command -v $(PYTHON) >/dev/null 2>&1 || { echo "earwitness needs Python 3.11 or newer; '$(PYTHON)' was not found. Try: make PYTHON=/path/to/python3.11 $(MAKECMDGOALS)" >&2; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "earwitness needs Python 3.11 or newer; '$(PYTHON)' is $$($(PYTHON) -V 2>&1). Try: make PYTHON=/path/to/python3.11 $(MAKECMDGOALS)" >&2; exit 1; }
	@echo "Setting up $(VENV) (once; a few minutes on a slow line)"
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@touch $(STAMP)

demo: $(STAMP) ## run the main job on the built-in invented dive
	@$(BIN)/earwitness demo --out build/demo

test: $(STAMP) ## run every test, a file a core
	@$(BIN)/python -m pytest --numprocesses auto --dist loadfile

lint: $(STAMP) ## ruff: style and format
	@$(BIN)/ruff check . && $(BIN)/ruff format --check .

# A type checker does not follow setuptools' package-dir, so it is shown the same mapping as links.
types: $(STAMP) ## mypy, strict
	@mkdir -p build/typed/earwitness
	@for room in pipeline taxonomy schemas fixtures; do ln -sfn ../../../$$room build/typed/earwitness/$$room; done
	@$(BIN)/mypy -p earwitness.pipeline -p earwitness.taxonomy -p earwitness.schemas

wheel-check: $(STAMP) ## build the wheel, install it alone in an empty environment, run the demo from another folder
	@PYTHON=$(PYTHON) BIN=$(abspath $(BIN)) sh .ci/wheel_check

bench: $(STAMP) ## timings, memory and scores on the development sets (never part of a test's pass or fail)
	@$(BIN)/python -m tests.bench

clean: ## remove everything that was made
	rm -rf $(VENV) build dist *.egg-info
