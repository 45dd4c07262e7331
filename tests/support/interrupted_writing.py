"""Writing that is stopped, or fails, before any one of the steps that reach the disk."""

import os
import shutil
from pathlib import Path

import pytest


class Killed(BaseException):
    """Stands for the moment at which a process is no more."""


def steps(monkeypatch, act) -> None:
    """Have `act(number)` run before each step that reaches the disk, numbered from 0."""
    count = iter(range(10_000))
    for module, name in [(os, "fsync"), (os, "replace"), (os, "utime"), (shutil, "rmtree")]:
        real = getattr(module, name)

        def step(*arguments, real=real, name=name, **named):
            act(next(count), name)
            # That the disk has really got it can't be seen from here, and takes long.
            return None if name == "fsync" else real(*arguments, **named)

        monkeypatch.setattr(module, name, step)
    for name in ("unlink", "rmdir", "mkdir"):
        real = getattr(Path, name)

        def step_of_path(path, *arguments, real=real, name=name, **named):
            act(next(count), name)
            return real(path, *arguments, **named)

        monkeypatch.setattr(Path, name, step_of_path)


def interrupt(act, *, after: int) -> None:
    """Stop a change once its journal and so many of its files have been moved into their places."""
    moved = []

    def die(step, name):
        moved.append(name)
        if moved.count("replace") > after + 1:
            raise Killed

    with pytest.MonkeyPatch.context() as patch:
        steps(patch, die)
        with pytest.raises(Killed):
            act()
