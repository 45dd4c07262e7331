"""What tests of caches build, on which day, and what came of it."""

import os
import sys
from datetime import date
from pathlib import Path

import pytest

DAY = date(2026, 5, 12)
ROOT = Path(__file__).parents[3]
COUNTERPANE = Path(sys.executable).with_name("counterpane")
on_unix = pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system says otherwise who may read what")


def retitle(records: Path, words: str) -> None:
    (records / "quilts/quilt-0.yaml").write_text(f"title: {words}\nphotos: 0.jpg\n")
