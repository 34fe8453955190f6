# What people type. Works on a fresh machine with Python 3.11 or newer and a network; nothing else is needed.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check

.DEFAULT_GOAL := help
.PHONY: help demo test lint format lock clean

help:
	@echo "make demo    try Linewright: reads, checks and builds an invented lesson into ./lesson-demo"
	@echo "make test    run the tests, the linter and the type checker"
	@echo "make lint    only the linter and the type checker"
	@echo "make format  lay the code out"
	@echo "make lock    write requirements-ci.txt again from fresh installs"
	@echo "make clean   remove the virtual environment and what the tools left"
	@echo "PYTHON=...   which Python makes the virtual environment (now: $(PYTHON))"

demo: $(VENV)/demo.stamp
	@$(BIN)/linewright demo

test: $(VENV)/dev.stamp
	@$(BIN)/python -m pytest
	@$(MAKE) --no-print-directory lint

lint: $(VENV)/dev.stamp
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy

format: $(VENV)/dev.stamp
	@$(BIN)/ruff check --fix .
	@$(BIN)/ruff format .

# Made anew only when the project's needs change.
$(VENV)/demo.stamp: pyproject.toml | $(BIN)/python
	@echo "Installing Linewright into $(VENV) (once, about a minute) ..."
	@$(PIP) --editable .
	@touch $@

$(VENV)/dev.stamp: pyproject.toml | $(BIN)/python
	@echo "Installing Linewright and what its tests need into $(VENV) (once, about a minute) ..."
	@$(PIP) --editable '.[dev]'
	@touch $@ $(VENV)/demo.stamp

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.version_info >= (3, 11) or sys.exit("Linewright needs Python 3.11 or newer, this is " + sys.version.split()[0] + ": name another one, as in  make PYTHON=python3.12 demo")'
	@$(PYTHON) -m venv $(VENV) || { rm -rf $(VENV); echo "No virtual environment could be made. On Debian and Ubuntu: apt install python3-venv"; exit 1; }

lock:
	@dir=$$(mktemp -d) && trap 'rm -rf "$$dir"' EXIT && $(PYTHON) -m venv "$$dir" \
	  && "$$dir/bin/python" -m pip install --quiet --disable-pip-version-check '.[dev]' \
	  && { echo "# What CI installs, made by make lock with Python $$($(PYTHON) -c 'import platform; print(platform.python_version())')."; \
	       "$$dir/bin/python" -m pip freeze --exclude linewright; } > requirements-ci.txt.part \
	  && mv requirements-ci.txt.part requirements-ci.txt && echo "requirements-ci.txt: $$(grep -c == requirements-ci.txt) packages"

clean:
	rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .hypothesis lesson-demo
