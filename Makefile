# The environment of every target is .venv in this checkout; nothing outside it is touched.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
READY_TEST := $(VENV)/.ready-test
READY_CHECK := $(VENV)/.ready-check

.PHONY: run test check benchmark proof lock clean

run: $(READY)
	@if [ -t 1 ]; then $(BIN)/benchtrail; else $(BIN)/benchtrail demo --plain; fi

test: $(READY_TEST)
	$(BIN)/python -m pytest -n 2 --dist loadfile -m "not proof"

check: $(READY_TEST) $(READY_CHECK)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/benchtrail knowledge check --strict --quiet

proof: $(READY_TEST)
	$(BIN)/python -m pytest -m proof -rP

benchmark: $(READY_TEST)
	$(BIN)/python -m tests.benchmark

lock: $(READY)
	.ci/lock $(BIN)/python

clean:
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .import_linter_cache

$(VENV)/bin/python:
	@.ci/need $(PYTHON)
	$(PYTHON) -m venv $(VENV)

$(READY): pyproject.toml requirements.lock | $(VENV)/bin/python
	@.ci/install $(BIN)/python
	@touch $@

$(READY_TEST): pyproject.toml requirements.lock | $(VENV)/bin/python
	@.ci/install $(BIN)/python test
	@touch $@ $(READY)

$(READY_CHECK): pyproject.toml requirements.lock | $(VENV)/bin/python
	@.ci/install $(BIN)/python check
	@touch $@
