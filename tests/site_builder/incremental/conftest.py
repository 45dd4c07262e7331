"""A collection of three quilts, and a cache folder of the test's own."""

from pathlib import Path

import pytest


@pytest.fixture
def caches(tmp_path, monkeypatch) -> Path:
    """A cache folder of this test's own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "caches"))
    return tmp_path / "caches"


@pytest.fixture
def records(tmp_path, write_collection, a_photo) -> Path:
    folder = write_collection(
        tmp_path / "records",
        {f"quilts/quilt-{number}.yaml": f"title: Quilt {number}\nphotos: {number}.jpg\n" for number in range(3)},
    )
    for number in range(3):
        a_photo(folder / f"photos/{number}.jpg", size=(60, 80), colour=("seagreen", "tomato", "navy")[number])
    return folder
