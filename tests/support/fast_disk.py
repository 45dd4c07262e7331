"""A disk that is not waited for, where a test makes many changes."""

import os

import pytest


@pytest.fixture(scope="module")
def a_fast_disk():
    """Nothing waits until the disk has what is written: that takes long, and is tested where files are written."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda handle: None)
        yield
