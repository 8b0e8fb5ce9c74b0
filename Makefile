# `make demo` works on a fresh machine with Python 3.11 or newer, pip and make; `make test` also
# wants what DEVELOPERS.md names.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: demo test lint docs benchmarks clean

demo: $(VENV)/installed
	@$(BIN)/heatersel compare

test: $(VENV)/installed-for-tests
	$(BIN)/python -m pytest -n auto

lint: $(VENV)/installed-for-lint
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy

docs: $(VENV)/installed-for-tests
	$(BIN)/python -m heatersel.cautions.listing > docs/cautions.md
	$(BIN)/python -m heatersel.simulation.accuracy
	$(BIN)/python -m heatersel.docs
	$(BIN)/python -m dashboard.catalogue

benchmarks: $(VENV)/installed-for-tests
	for bench in tests/benchmarks/bench_*.py; do $(BIN)/python $$bench || exit 1; done

clean:
	rm -rf $(VENV) build dist

$(VENV)/installed: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(VENV)/installed-for-tests: $(VENV)/installed
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable ".[test]"
	@touch $@

$(VENV)/installed-for-lint: $(VENV)/installed-for-tests
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable ".[lint]"
	@touch $@
