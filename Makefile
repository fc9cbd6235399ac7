# Thin on purpose: the logic is in site_demo/. `make` alone lists the recipes.
PYTHON ?= python3
VENV = .venv/bin/python
SETUP = $(PYTHON) -m site_demo.setup_env

.DEFAULT_GOAL := help
.PHONY: help demo serve build setup test check bench lighthouse release reproducible soak mutants audit other-builders clean lock

help: ## list the recipes
	@sed -n 's/^\([a-z-]*\):.*## /make \1|/p' $(MAKEFILE_LIST) | while IFS='|' read -r name does; do printf '%-20s %s\n' "$$name" "$$does"; done

demo: ## set up what is missing, build the site, judge the demo job, say which file to open
	@$(SETUP) site
	@$(VENV) -m site_demo.build
	@$(VENV) -m site_demo.demo

serve: ## build the site, serve it on this machine, build again when a source changes
	@$(SETUP) site
	@$(VENV) -m site_demo.serve

build: ## build the site into site/
	@$(SETUP) site
	@$(VENV) -m site_demo.build

setup: ## install all that the other recipes need, browsers for the tests too
	@$(SETUP) site tests checks release mutants
	@$(VENV) -m site_demo.browsers

test: ## run all tests, those in real browsers too
	@$(SETUP) site tests release mutants
	@$(VENV) -m site_demo.browsers
	@$(VENV) -m site_demo.build
	@$(VENV) -m pytest -n auto --maxprocesses 4 --dist worksteal

check: ## lint, formatting, types of Python and JavaScript, links of the built site
	@$(SETUP) site tests checks release mutants
	@$(VENV) -m site_demo.build
	@$(VENV) -m site_demo.check

bench: ## measure speed and size, write tests/measured/bench.json
	@$(SETUP) site tests
	@$(VENV) -m site_demo.browsers
	@$(VENV) -m site_demo.build
	@$(VENV) -m tests.bench

audit: ## known flaws and licences of all pinned parts, and a search for secrets; write tests/measured/audit.json
	@$(SETUP) site tests checks lock
	@$(VENV) -m site_demo.audit

other-builders: ## build the site with ProperDocs and Zensical too, write tests/measured/other-builders.json
	@$(SETUP) site tests
	@$(VENV) -m site_demo.build
	@$(VENV) -m site_demo.other_builders

release: ## write the zip to hand out into release/; PREVIOUS=old.zip adds the update from it
	@$(SETUP) site release
	@$(VENV) -m site_demo.build
	@$(VENV) -m site_demo.release $(if $(PREVIOUS),--previous "$(PREVIOUS)")

reproducible: ## build the last commit twice, compare the releases, write tests/measured/release.json
	@$(SETUP) site release
	@$(VENV) -m site_demo.release.reproduce

soak: ## measure what it withstands (kills, fuzzing, memory, other Pythons), write tests/measured/soak.json
	@$(SETUP) site tests lock soak
	@$(VENV) -m site_demo.browsers
	@$(VENV) -m site_demo.build
	@$(VENV) -m tests.soak

mutants: ## spoil calc in one place at a time and see whether a test notices, write tests/measured/mutants.json
	@$(SETUP) site tests mutants
	@$(VENV) -m tests.mutants

lighthouse: ## score every page for accessibility and good practice, write tests/measured/lighthouse.json
	@$(SETUP) site tests
	@$(VENV) -m site_demo.browsers
	@$(VENV) -m site_demo.build
	@$(VENV) -m tests.lighthouse

clean: ## delete everything that a recipe has made
	rm -rf .venv node_modules tests/lighthouse/node_modules .build site release docs/generated .mypy_cache .pytest_cache .ruff_cache .hypothesis
	find . -name __pycache__ -prune -exec rm -rf {} +

lock: ## pin all dependencies again (edit requirements/*.in and package.json first)
	@$(SETUP) --lock
