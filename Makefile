# `make` alone lists the targets.
PYTHON = .venv/bin/python
export PIP_DISABLE_PIP_VERSION_CHECK = 1
# What is imported is compiled once and kept, whatever the shell says: a hundred servers start in the tests.
export PYTHONDONTWRITEBYTECODE =

.PHONY: help run test check bench soak shots clean

help: ## list the targets
	@grep -hE '^[a-z]+:.*##' Makefile | sed 's/:.*## /\t/'

run: ## install what is needed and serve the invented demo event
	@sh .ci/prepare run
	@$(PYTHON) -m pitcrew demo

test: ## install what tests need, browser included, and run them on two cores
	@sh .ci/prepare test
	@$(PYTHON) -m pytest -n 2 --dist loadfile --no-loadscope-reorder

check: ## lint and types
	@sh .ci/prepare test
	@$(PYTHON) -m ruff check pitcrew tests
	@$(PYTHON) -m ruff format --check pitcrew tests
	@$(PYTHON) -m mypy

bench: ## print ratios against baselines measured in the same run
	@sh .ci/prepare test
	@$(PYTHON) -m tests.bench

soak: ## the long tests; write their result into DEVELOPERS.md
	@sh .ci/prepare test
	@$(PYTHON) -m pytest -m soak
	@PITCREW_EXAMPLES=300 $(PYTHON) -m pytest -m "hypothesis and not soak"

clean: ## remove the virtual environment, caches and the demo folder
	@rm -rf .venv demo-pit build dist *.egg-info .pytest_cache .ruff_cache .mypy_cache .hypothesis .failures
