# Everything is made inside .venv of this checkout; nothing else is touched.
# Another Python: make PYTHON=python3.12 demo

PYTHON ?= python3
VENV := .venv
PIP := $(VENV)/bin/python -m pip --disable-pip-version-check --quiet
INSTALL := $(PIP) install --require-hashes --no-build-isolation
PYTEST_ARGS ?= -n auto
LOCK := $(VENV)/bin/uv pip compile --no-config --quiet --universal --generate-hashes --no-emit-index-url --no-annotate \
	--python-version 3.11 --custom-compile-command "make lock"

.DELETE_ON_ERROR:
.PHONY: demo test lint format dev mutate bench pictures lock clean help

help:
	@echo "make demo    make the environment, show a morning at an invented hospital"
	@echo "make test    make the environment, run the tests"
	@echo "make lint    ruff, mypy --strict, the import contract"
	@echo "make format  write the layout that lint checks"
	@echo "make dev     add the developers' tools: mutation testing, the lock compiler"
	@echo "make mutate  mutation testing of the judge and the plain evaluator, by hand"
	@echo "make bench   how long an answer takes beside a chain of ifs, by hand"
	@echo "make pictures  draw docs/pictures again, by hand"
	@echo "make lock    compile requirements/*.txt again from pyproject.toml"
	@echo "make clean   remove .venv and what the tools keep"

demo: $(VENV)/core.stamp
	@$(VENV)/bin/cds demo

test: $(VENV)/test.stamp
	$(VENV)/bin/python -m pytest $(PYTEST_ARGS)

lint: $(VENV)/test.stamp
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check .
	$(VENV)/bin/mypy --strict cds
	$(VENV)/bin/lint-imports --no-logo

format: $(VENV)/test.stamp
	$(VENV)/bin/ruff check --fix .
	$(VENV)/bin/ruff format .

dev: $(VENV)/dev.stamp

mutate: $(VENV)/dev.stamp
	$(VENV)/bin/mutmut run
	$(VENV)/bin/mutmut results
	$(VENV)/bin/python -m tests.verdicts.by_hand

bench: $(VENV)/test.stamp
	$(VENV)/bin/python -m tests.bench

pictures: $(VENV)/test.stamp
	$(VENV)/bin/python -m tools.pictures

# `all` first, held to by the others, so that every lock names the same versions.
lock: $(VENV)/dev.stamp
	$(LOCK) requirements/build.in pyproject.toml --all-extras -o requirements/all.txt
	$(LOCK) requirements/build.in -c requirements/all.txt -o requirements/build.txt
	$(LOCK) pyproject.toml -c requirements/all.txt -o requirements/core.txt
	$(LOCK) pyproject.toml --extra test -c requirements/all.txt -o requirements/test.txt
	$(LOCK) pyproject.toml --extra dev -c requirements/all.txt -o requirements/dev.txt

clean:
	rm -rf $(VENV) build dist mutants .hypothesis .mypy_cache .pytest_cache .ruff_cache .import_linter_cache

# An environment holds its own place in its scripts: one that was moved, copied or half made is made again.
ifneq ($(shell cat $(VENV)/place.stamp 2>/dev/null),$(CURDIR))
.PHONY: $(VENV)/place.stamp
endif
$(VENV)/place.stamp:
	@$(PYTHON) tools/probe.py
	@echo "making $(VENV): about a minute the first time"
	@rm -rf $(VENV)
	@$(PYTHON) -m venv $(VENV)
	@echo "$(CURDIR)" > $@

$(VENV)/build.stamp: requirements/build.txt $(VENV)/place.stamp
	@$(INSTALL) -r $<
	@touch $@

$(VENV)/core.stamp: requirements/core.txt pyproject.toml $(VENV)/build.stamp
	@$(INSTALL) -r $<
	@$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

$(VENV)/test.stamp $(VENV)/dev.stamp: $(VENV)/%.stamp: requirements/%.txt $(VENV)/core.stamp
	@$(INSTALL) -r $<
	@touch $@
