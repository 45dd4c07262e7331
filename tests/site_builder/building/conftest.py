"""An output that was built before."""

from pathlib import Path

import pytest

from tests.support.small_editions import publish


@pytest.fixture
def output(tmp_path) -> Path:
    """A folder into which a build has been made before."""
    publish(tmp_path / "output", "before")
    return tmp_path / "output"
