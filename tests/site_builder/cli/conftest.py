"""A sound collection and an unsound one, and the command line run in the test's own process."""

import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from site_builder.cli import main as commands
from site_builder.terminal import explain
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
def counterpane(capfdbinary, monkeypatch):
    """`counterpane("check", folder)` -> exit code, what went to standard output, what went to standard error.

    Runs the whole program, with what it does about mistakes of its own.
    """

    def run(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["counterpane", *map(str, words)])
        with pytest.raises(SystemExit) as end:
            commands.main()
        out, err = (stream.decode() for stream in capfdbinary.readouterr())
        assert "Traceback" not in out + err
        return end.value.code or 0, out, err

    return run


@pytest.fixture
def run():
    """`run("undo", folder, answer="y\\n")` -> exit code, what went to standard output, what the person reads.

    Runs one command, and turns its errors into words as the program does.
    """

    def run(*words: object, answer: str | None = None) -> tuple[int, str, str]:
        result = CliRunner().invoke(commands.cli, [str(word) for word in words], input=answer)
        said, code = result.stderr, result.exit_code
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            code = explain(result.exception)
            said += "\n".join(str(problem) for problem in getattr(result.exception, "problems", ()))
        return code, result.stdout, said

    return run
