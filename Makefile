# make site: build the demo into site/.   make test: install what the tests need and run them.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
export PIP_DISABLE_PIP_VERSION_CHECK := 1
.DEFAULT_GOAL := help
.PHONY: help site preview test lint generated clean

help: ## Say what there is to make
	@grep -hE '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 12

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
	  || { echo "buildlog needs Python 3.11 or newer; name one with: make $(or $(MAKECMDGOALS),site) PYTHON=python3.12"; exit 1; }
	@$(PYTHON) -m venv $(VENV) \
	  || { rm -rf $(VENV); echo "Python's venv module is missing; on Debian: apt-get install python3-venv"; exit 1; }

$(VENV)/.installed: pyproject.toml | $(BIN)/python
	@echo "Installing into $(VENV) ..."
	@$(BIN)/python -m pip install --quiet --editable .
	@touch $@

$(VENV)/.tested: pyproject.toml tests/tools/package.json tests/tools/install | $(BIN)/python
	@echo "Installing what the tests need ..."
	@$(BIN)/python -m pip install --quiet --editable '.[dev]'
	@sh tests/tools/install $(VENV)
	@touch $(VENV)/.installed $@

site: $(VENV)/.installed ## Build the demo workshop's site into site/
	@$(BIN)/buildlog site
	@echo 'Look at it:  $(BIN)/python -m http.server --directory site  and then open  http://localhost:8000/'

preview: $(VENV)/.installed ## Serve the demo and follow every change
	@$(BIN)/buildlog preview

test: $(VENV)/.tested ## Install what the tests need, the browser included, and run them
	@$(BIN)/python -m pytest -n auto --dist loadfile $(PYTEST_ARGS)
	@echo 'All tests passed. Next:  make site  builds the demo;  make lint  checks style and types.'

lint: $(VENV)/.tested ## Check style and types
	@$(BIN)/ruff check
	@$(BIN)/ruff format --check
	@$(BIN)/mypy

generated: $(VENV)/.installed ## Write anew what is made from the models and commands: schemas and the guide's tables
	@$(BIN)/python -m buildlog.records.schemas
	@$(BIN)/python -m buildlog.guide

clean: ## Remove everything that was made
	rm -rf $(VENV) site .buildlog .mypy_cache .pytest_cache .ruff_cache .hypothesis
