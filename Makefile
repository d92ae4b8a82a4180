# Two commands do everything on a fresh machine: `make demo` and `make test`.
PYTHON ?= python3.11
VENV := .venv
BIN := $(VENV)/bin
LOCK := --quiet --disable-pip-version-check --require-hashes
UV := uv pip compile pyproject.toml --generate-hashes --no-header --no-emit-index-url --no-annotate --python-version 3.11

# The tests start the program some fifty times: its sources are compiled once, wherever the machine says not to keep that.
export PYTHONDONTWRITEBYTECODE :=

.PHONY: demo serve test bench checks study study-solids lock clean warm

$(VENV)/base: requirements.lock pyproject.toml
	@echo "setting up: the base packages"
	@$(PYTHON) -m venv $(VENV)
	@$(BIN)/pip install $(LOCK) -r requirements.lock
	@$(BIN)/pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	@touch $@

$(VENV)/dev: requirements-dev.lock $(VENV)/base
	@echo "setting up: the test tools"
	@$(BIN)/pip install $(LOCK) -r requirements-dev.lock
	@touch $@

warm: $(VENV)/base
	@$(BIN)/python -m shroudwright.pack.warm

serve: warm
	@$(BIN)/shroudwright serve

demo: warm
	@mkdir -p out
	@$(BIN)/shroudwright demo --out out

tests/page/node_modules: tests/page/package-lock.json
	@tools/programs.sh
	@npm ci --prefix tests/page --silent --no-audit --no-fund
	@touch $@

test: $(VENV)/dev warm tests/page/node_modules
	@tools/programs.sh
	$(BIN)/ruff format --check src tests benchmarks tools
	$(BIN)/ruff check src tests benchmarks tools
	$(BIN)/mypy
	$(BIN)/lint-imports
	tests/page/node_modules/.bin/tsc -p tests/page
	$(BIN)/pytest --numprocesses 2 --dist loadfile --no-loadscope-reorder

bench: $(VENV)/dev warm
	@$(BIN)/python -m benchmarks

study: $(VENV)/dev warm
	@rm -rf out/studies
	@for study in studies drive_study; do \
	  for part in 1 2; do $(BIN)/python -m benchmarks.$$study --shard $$part/2 & done; wait; \
	  $(BIN)/python -m benchmarks.$$study --join; \
	done
	@$(BIN)/python -m benchmarks.storage

study-solids: $(VENV)/dev
	@$(BIN)/pip install --quiet --disable-pip-version-check --no-build-isolation --editable '.[step]'
	@$(BIN)/python -m benchmarks.solids

checks: $(VENV)/dev
	@$(BIN)/python -m tests.checks $(TABLE)

lock:
	$(UV) --extra build --extra dev -o requirements-dev.lock
	$(UV) --extra build -c requirements-dev.lock -o requirements.lock

clean:
	rm -rf $(VENV) out tests/page/node_modules .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
	find src tests benchmarks tools -name __pycache__ -type d -exec rm -rf {} +
