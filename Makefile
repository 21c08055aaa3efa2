# make demo   sets up on first use, draws up the demo plan, says where the results are
# make test   the same set-up, then every check
# make bench  the named ratios, printed and written to build/bench.json
# make hazards  100,000 drawn cases and 1,000 by the command line; goes on where it was broken off
# make docs   writes the pages of docs/ that are lists of what the program holds
# make lock   writes the lock from pyproject.toml, keeping versions; UPGRADE=--upgrade takes the newest
# make clean  takes away what was made; make clean-all the set-up too

PYTHON ?= python3
AS_OF := 2026-11-25
BIN := .venv/bin
READY := .venv/ready
LOCK := requirements/bootstrap.txt requirements/all.txt

.PHONY: demo test lint bench hazards docs lock clean clean-all

demo: $(READY)
	@$(BIN)/provand demo --out build/demo --as-of $(AS_OF)

test: $(READY)
	@bash tests/set_up/debian.sh
	@$(BIN)/python tests/set_up/courses.py
	@$(BIN)/python tests/set_up/foods.py
	@$(BIN)/python tests/set_up/schema.py
	@$(MAKE) --no-print-directory lint
	@$(BIN)/python -m pytest --numprocesses auto --dist loadfile

lint: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(READY)
	@$(BIN)/python bench/run.py

hazards: $(READY)
	@$(BIN)/python tests/hazards/many.py

docs: $(READY)
	@$(BIN)/python tools/make_docs.py

# The lock's own uv where it works, plain pip where it does not.
$(READY): $(LOCK) pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or newer is needed: make PYTHON=...")'
	@$(BIN)/python -m pip --version >/dev/null 2>&1 || $(PYTHON) -m venv .venv
	@$(BIN)/python -m pip install --quiet --require-hashes -r requirements/bootstrap.txt \
	  && $(BIN)/uv pip sync --quiet --require-hashes --compile-bytecode --python $(BIN)/python requirements/all.txt \
	  || { echo "uv could not install the lock: trying plain pip."; \
	       $(BIN)/python -m pip install --quiet --require-hashes --no-deps -r requirements/all.txt; }
	@$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	@$(BIN)/python -m compileall -q src
	@touch $@

# No header and no annotation: the default header would hold the command line, with whatever address stands in it.
UV_COMPILE := uv pip compile --universal --python-version 3.11 --no-header --no-annotate --generate-hashes

lock:
	@test -x $(BIN)/uv || { $(PYTHON) -m venv .venv && $(BIN)/python -m pip install --quiet uv; }
	echo uv | $(BIN)/$(UV_COMPILE) --quiet $(UPGRADE) - -o requirements/bootstrap.txt
	$(BIN)/$(UV_COMPILE) --quiet $(UPGRADE) pyproject.toml --all-extras -o requirements/all.txt

clean:
	rm -rf build .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find src tests bench -name __pycache__ -type d -prune -exec rm -rf {} +

clean-all: clean
	rm -rf .venv
