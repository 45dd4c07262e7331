"""A sound collection and an unsound one, and the command line that runs in the test's own process."""

import sys
from pathlib import Path

import pytest

from site_builder.cli import main as commands
from tests.site_builder.cli.sound_records import SOUND


@pytest.fixture
def sound(tmp_path, write_collection) -> Path:
    """A collection without errors, one of whose photos is missing."""
    return write_collection(tmp_path / "sound", SOUND)


@pytest.fixture
def unsound(tmp_path, write_collection) -> Path:
    files = {"quilts/low-tide.yaml": "title: Low Tide\nfinshed_size: 60 x 72\nmade: soon\n"}
    return write_collection(tmp_path / "unsound", SOUND | files)


@pytest.fixture
def run(capfdbinary, monkeypatch):
    """`run("check", folder)` -> exit code, what went to standard output, what went to standard error."""

    def run(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["counterpane", *map(str, words)])
        with pytest.raises(SystemExit) as end:
            commands.main()
        out, err = (stream.decode() for stream in capfdbinary.readouterr())
        assert "Traceback" not in out + err
        return end.value.code or 0, out, err

    return run
