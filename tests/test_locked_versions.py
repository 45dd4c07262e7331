"""The versions that the tests run with are ones that pyproject.toml allows, each known by its digest."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
ALLOWED = [
    Requirement(text)
    for text in (
        *PROJECT["dependencies"],
        *(text for extra in PROJECT["optional-dependencies"].values() for text in extra),
    )
]


def locked() -> dict[str, list[tuple[str, int]]]:
    """The locked versions of each library, with the number of their digests."""
    versions: dict[str, list[tuple[str, int]]] = {}
    for entry in re.split(r"\n(?=\S)", (ROOT / ".ci/requirements.txt").read_text(encoding="utf-8")):
        name, version = re.match(r"([\w.-]+)==([^\s;]+)", entry).groups()
        versions.setdefault(canonicalize_name(name), []).append((version, entry.count("--hash=sha256:")))
    return versions


@pytest.mark.parametrize("allowed", ALLOWED, ids=str)
def test_each_library_is_locked_to_versions_that_are_allowed(allowed):
    versions = locked()[canonicalize_name(allowed.name)]
    assert all(allowed.specifier.contains(version) for version, _ in versions)


def test_every_locked_file_has_a_digest():
    assert locked()
    assert all(digests for versions in locked().values() for _, digests in versions)


@pytest.mark.parametrize("allowed", ALLOWED, ids=str)
def test_no_library_may_come_in_a_later_major_version_unseen(allowed):
    operators = {specifier.operator for specifier in allowed.specifier}
    assert operators == {">=", "<"}


def test_nothing_names_the_place_that_libraries_come_from():
    assert "://" not in (ROOT / ".ci/requirements.txt").read_text(encoding="utf-8")
