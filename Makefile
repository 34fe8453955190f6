# What people type. Works on a fresh machine with Python 3.11 or newer and a network; nothing else is needed.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --quiet --disable-pip-version-check
# The versions of a lock file, each checked by its hash; the lock is whole, so nothing else is looked for.
LOCKED := $(PIP) install --require-hashes --no-deps --no-build-isolation --requirement

# As many tests at once as there are processors; 0 runs them in one process (TESTS="-n 0 --pdb").
TESTS ?= -n logical --maxprocesses 8 --dist worksteal

.DEFAULT_GOAL := help
.PHONY: help demo test wanting lint format golden web pictures lock newest lowest wheel clean

help:
	@echo "make demo    try Linewright: reads, checks and builds an invented lesson into ./lesson-demo"
	@echo "make test    run the tests, the linter and the type checker"
	@echo "make wanting run only the tests that make test skipped for want of something; fails where one still is"
	@echo "make mutants  change a sample of thresholds, one at a time, and say which changes no test notices (SAMPLE=12 SEED=0)"
	@echo "make lint    only the linter and the type checker"
	@echo "make format  lay the code out"
	@echo "make golden  read, check and build all talks, for comparing with GOLDEN=FOLDER of another state of the code"
	@echo "make web     install what checks the pages' scripts (needs npm); make test then runs it too"
	@echo "make pictures  take the README's pictures again (needs chromium and pdftoppm)"
	@echo "make lock    look for newer versions of what is installed and write locks/ again"
	@echo "make newest  run the tests with the newest versions of everything, locked or not"
	@echo "make lowest  run the tests with the lowest versions that pyproject.toml allows"
	@echo "make wheel   build the wheel, import every module from it and run its demo, without the extras"
	@echo "make clean   remove the virtual environment and what the tools left"
	@echo "PYTHON=...   which Python makes the virtual environment (now: $(PYTHON))"

demo: $(VENV)/core.stamp
	@$(BIN)/linewright demo

test: $(VENV)/dev.stamp
	@$(MAKE) --no-print-directory lint
	@$(BIN)/python -m pytest $(TESTS)

wanting: $(VENV)/dev.stamp
	@$(BIN)/python -m pytest $(TESTS) --wanting

# How many thresholds, and which.
SAMPLE ?= 12
SEED ?= 0

mutants: $(VENV)/dev.stamp
	@$(BIN)/python tools/mutate.py --sample $(SAMPLE) --seed $(SEED)

lint: $(VENV)/dev.stamp
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy

format: $(VENV)/dev.stamp
	@$(BIN)/ruff check --fix .
	@$(BIN)/ruff format .

# With GOLDEN, the folder of an earlier run, what differs is listed.
golden: $(VENV)/dev.stamp
	@$(BIN)/python bench/golden.py .golden
	@test -z "$(GOLDEN)" || diff -rq "$(GOLDEN)" .golden

# A type checker and a linter for the scripts, as locked; nothing of npm is needed to run Linewright.
web:
	@cd tools/web && npm ci --no-update-notifier

pictures: $(VENV)/dev.stamp
	@$(BIN)/python tools/pictures.py

# Installed again only when the project's needs change.
$(VENV)/core.stamp $(VENV)/dev.stamp $(VENV)/hear.stamp: $(VENV)/%.stamp: pyproject.toml locks/core.txt locks/%.txt | $(VENV)/build.stamp
	@echo "Installing Linewright and what locks/$*.txt names into $(VENV) (once, about a minute) ..."
	@$(LOCKED) locks/$*.txt
	@$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

# What builds packages comes first, so that nothing that isn't locked is fetched to build them.
$(VENV)/build.stamp: locks/build.txt | $(BIN)/python
	@$(LOCKED) locks/build.txt
	@touch $@

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.version_info >= (3, 11) or sys.exit("Linewright needs Python 3.11 or newer, this is " + sys.version.split()[0] + ": name another one, as in  make PYTHON=python3.12 demo")'
	@$(PYTHON) -m venv $(VENV) || { rm -rf $(VENV); echo "No virtual environment could be made. On Debian and Ubuntu: apt install python3-venv"; exit 1; }

# The jobs below each have a virtual environment of their own, in .venvs/, made new each time.
FRESH = rm -rf .venvs/$@ && mkdir -p .venvs && $(PYTHON) -m venv .venvs/$@ && .venvs/$@/bin/python -m pip --quiet --disable-pip-version-check install

lock:
	@$(FRESH) uv && PATH=".venvs/$@/bin:$$PATH" .venvs/$@/bin/python tools/lock.py

newest:
	@$(FRESH) --editable '.[dev]'
	@.venvs/$@/bin/python -m pytest -p no:cacheprovider $(TESTS)

lowest:
	@$(FRESH) uv && .venvs/$@/bin/uv pip install --quiet --system-certs --python .venvs/$@/bin/python --resolution lowest-direct --editable '.[dev]'
	@.venvs/$@/bin/python -m pytest -p no:cacheprovider $(TESTS)

wheel:
	@$(FRESH) --require-hashes --no-deps -r locks/build.txt
	@rm -rf dist && .venvs/$@/bin/python -m pip --quiet --disable-pip-version-check wheel --no-deps --no-build-isolation --wheel-dir dist .
	@.venvs/$@/bin/python -m pip --quiet --disable-pip-version-check install --require-hashes --no-deps --no-build-isolation -r locks/core.txt
	@.venvs/$@/bin/python -m pip --quiet --disable-pip-version-check install --no-deps dist/linewright-*.whl
	@.venvs/$@/bin/python -I tools/import_all.py
	@dir=$$(mktemp -d) && trap 'rm -rf "$$dir"' EXIT && here=$$PWD && cd "$$dir" && "$$here/.venvs/$@/bin/linewright" demo

clean:
	rm -rf $(VENV) .venvs .golden dist .mypy_cache .ruff_cache .pytest_cache .hypothesis lesson-demo
