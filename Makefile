# Every command a person needs. `make demo` and `make test` each work alone on a fresh machine.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

LOAD_SECONDS ?= 60
FUZZ_SECONDS ?= 300

.PHONY: demo serve test check bench mutate killed load fuzz vulnerabilities pictures lock clean

$(BIN)/python:
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run: requirements.txt | $(BIN)/python
	$(BIN)/pip install --quiet --disable-pip-version-check -r requirements.txt
	touch $@

$(VENV)/.dev: requirements.txt requirements-dev.txt | $(BIN)/python
	$(BIN)/pip install --quiet --disable-pip-version-check -r requirements.txt -r requirements-dev.txt
	touch $(VENV)/.run $@

demo: $(VENV)/.run            ## load the Larkfield scenario, run the main job, serve the site
	$(BIN)/python manage.py demo

serve: $(VENV)/.run           ## serve the database as it stands
	$(BIN)/python manage.py migrate --verbosity 0
	$(BIN)/python manage.py runserver

check: $(VENV)/.dev           ## everything that needs no test database
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -W error manage.py check
	$(BIN)/python manage.py makemigrations --check --dry-run

test: check                   ## all checks, then all tests
	$(BIN)/pytest -n auto --dist worksteal

bench: $(VENV)/.dev           ## our speeds beside their floors
	$(BIN)/python -m tests.bench

mutate: $(VENV)/.dev          ## break each limit in the data; a test must fail
	$(BIN)/python .ci/mutate_limits.py

killed: $(VENV)/.dev          ## kill the server amid 1,000 saves of the grid, on both databases
	SAVES_BEFORE_THE_KILL=1000 $(BIN)/pytest tests/inspections/test_killed.py
	server=$$(mktemp -d) && trap ".ci/postgresql stop $$server" EXIT && \
	DATABASE_URL=$$(.ci/postgresql start $$server) SAVES_BEFORE_THE_KILL=1000 $(BIN)/pytest tests/inspections/test_killed.py

load: $(VENV)/.dev            ## 50 inspectors saving and 10 offices auditing at once, on both databases
	env -u DATABASE_URL $(BIN)/python -m tests.load --seconds $(LOAD_SECONDS)
	server=$$(mktemp -d) && trap ".ci/postgresql stop $$server" EXIT && \
	DATABASE_URL=$$(.ci/postgresql start $$server) $(BIN)/python -m tests.load --seconds $(LOAD_SECONDS)

fuzz: $(VENV)/.dev            ## try every intake with what nobody expects, on both databases
	env -u DATABASE_URL $(BIN)/python -m tests.fuzz --seconds $(FUZZ_SECONDS)
	server=$$(mktemp -d) && trap ".ci/postgresql stop $$server" EXIT && \
	DATABASE_URL=$$(.ci/postgresql start $$server) $(BIN)/python -m tests.fuzz --seconds $(FUZZ_SECONDS)

vulnerabilities: $(VENV)/.dev ## ask whether anything pinned has a published weakness
	$(BIN)/python .ci/vulnerabilities.py

pictures: $(VENV)/.dev        ## the pictures of README and of each person's day, from the demonstration
	$(BIN)/python -m tests.pictures

lock: $(VENV)/.dev            ## pin the dependencies named in pyproject.toml
	$(BIN)/pip-compile --quiet --strip-extras --no-emit-index-url --no-emit-find-links --no-emit-trusted-host -o requirements.txt pyproject.toml
	$(BIN)/pip-compile --quiet --strip-extras --no-emit-index-url --no-emit-find-links --no-emit-trusted-host --extra dev -c requirements.txt -o requirements-dev.txt pyproject.toml

clean:                        ## forget the environment and the demo
	rm -rf $(VENV) demo-output db.sqlite3
