# make demo    builds the demo collection into output/
# make test    runs every check, the ones in a browser included
# make check   checks style and types alone, as make test does first
# make clean   removes what a build and the tests wrote; make clean-all removes .venv as well
#
# Both make their own .venv, and make it anew only when pyproject.toml changes, when its Python is
# gone, or when the checkout was moved. Another Python than the first that fits:
#     make demo PYTHON=/opt/python3.12/bin/python3
# Some of the tests:
#     make test ARGS="tests/collection -k lengths"
#
# make lock   notes the newest versions that pyproject.toml allows; the tests run with those
# make audit  asks, over the internet, whether any of them has a known fault

VENV := .venv
BASE := $(VENV)/.installed
FOR_TESTS := $(VENV)/.installed-for-tests
# The versions, with their digests, that the tests run with. `make lock` takes the newest that pyproject.toml allows.
LOCKED := .ci/requirements.txt

.PHONY: help demo test check lock audit clean clean-all

help:
	@sed -n -e '/^# make/s/^# //p' Makefile

demo: $(BASE)
	@XDG_CACHE_HOME="$(CURDIR)/.cache" $(VENV)/bin/counterpane build demo_collection --output output
	@echo
	@echo "The demo is ready. Open these two pages in a browser:"
	@echo "  $(CURDIR)/output/catalogue/index.html   the public catalogue"
	@echo "  $(CURDIR)/output/binder/index.html      the private binder"

test: check
	@$(VENV)/bin/python tests/browser/chromium.py
	@$(VENV)/bin/python -m pytest -n 2 --dist loadfile --no-loadscope-reorder $(ARGS)

check: $(FOR_TESTS)
	@$(VENV)/bin/ruff check --quiet
	@$(VENV)/bin/ruff format --quiet --check || { \
	    echo "Some files are not in the usual format: $(VENV)/bin/ruff format puts that right." >&2; exit 1; }
	@$(VENV)/bin/mypy --no-error-summary

lock: $(BASE)
	@$(call install,uv)
	@$(VENV)/bin/uv pip compile --quiet --universal --upgrade --generate-hashes --no-header --no-annotate \
	    --python-version 3.11 --extra test --output-file $(LOCKED) pyproject.toml

# Asks a database of known faults over the internet, so it is no part of the tests.
audit: $(BASE)
	@$(call install,pip-audit)
	@$(VENV)/bin/pip-audit --require-hashes --disable-pip --requirement $(LOCKED)

clean:
	@find output -mindepth 1 -maxdepth 1 ! -name .gitkeep -exec rm -rf {} +
	@rm -rf build dist .cache .pytest_cache .hypothesis .mypy_cache .ruff_cache
	@find collection site_builder demo_collection tests -name __pycache__ -type d -prune -exec rm -rf {} +

clean-all: clean
	@rm -rf $(VENV) counterpane.egg-info

# Every program that a test starts would compile all modules anew if Python kept nothing of that.
unexport PYTHONDONTWRITEBYTECODE

# ---- the virtual environment -------------------------------------------------------------------

# True when .venv runs and Counterpane is installed in it from this very folder.
SOUND := $(shell $(VENV)/bin/python -P -c \
    'import os, site_builder; print(os.path.samefile(os.path.dirname(site_builder.__path__[0]), "."))' \
    2>/dev/null)
ifneq ($(SOUND),True)
.PHONY: $(BASE) $(FOR_TESTS)
endif

$(BASE): pyproject.toml
	@$(make_venv)
	@echo "Installing what Counterpane needs into $(VENV)."
	@$(call install,--editable .)
	@touch $(BASE)

$(FOR_TESTS): pyproject.toml $(LOCKED)
	@$(make_venv)
	@echo "Installing what Counterpane and its tests need into $(VENV)."
	@$(call install,--require-hashes --requirement $(LOCKED))
	@$(call install,--no-deps --no-build-isolation --editable .)
	@touch $(BASE) $(FOR_TESTS)

install = $(VENV)/bin/python -m pip install --quiet --disable-pip-version-check $(1) || { \
    echo "The packages could not be installed; pip says why above." \
        "Is this machine connected to the internet?" >&2; \
    exit 1; \
}

# A Python whose venv module is missing (Debian keeps it in a package of its own) is passed over.
PYTHON ?=
define make_venv
new_enough='import sys; sys.exit(sys.version_info < (3, 11))'; \
if $(VENV)/bin/python -c "import pip; $$new_enough" 2>/dev/null; then exit 0; fi; \
without_venv=; \
if [ -n "$(PYTHON)" ]; then set -- "$(PYTHON)"; \
else set -- python3.13 python3.12 python3.11 python3 python; fi; \
for python in "$$@"; do \
    "$$python" -c "$$new_enough" 2>/dev/null || continue; \
    if "$$python" -c 'import ensurepip, venv' 2>/dev/null; then \
        echo "Making $(VENV) with $$("$$python" --version)."; \
        exec "$$python" -m venv --clear $(VENV); \
    fi; \
    without_venv="$$python"; \
done; \
if [ -n "$$without_venv" ]; then \
    echo "$$without_venv is new enough, but its venv module is missing." \
        "On Debian and Ubuntu: sudo apt install python3-venv" >&2; \
else \
    echo "Counterpane needs Python 3.11 or newer, and none was found" \
        "(looked for: $$*)." \
        "Install one, or name it: make PYTHON=/path/to/python3" >&2; \
fi; \
exit 1
endef
