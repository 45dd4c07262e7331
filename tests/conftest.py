"""What every test may use: steady property tests, a collection's folder, and a drawn photo."""

import os
import signal
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import settings

# The same examples in every run, and no failure because the machine was busy. To look for new
# counterexamples: HYPOTHESIS_PROFILE=searching make test
settings.register_profile("steady", derandomize=True, deadline=None, max_examples=50)
settings.register_profile("searching", max_examples=2000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))

# A job that a shell starts in the background ignores Ctrl-C, and so would each program that a test starts and ends by it.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


LONGEST = (
    "browser/test_kinds_of_page.py", "browser/test_preview.py", "browser/test_desk_look.py", "browser/test_wall.py",
    "browser/test_desk.py", "browser/test_desk_words.py", "browser/test_desk_safety.py",
    "browser/test_preview_safety.py", "site_builder/building/test_build.py", "promises/test_whole_or_not_at_all.py",
    "site_builder/preview/test_run_key.py", "site_builder/incremental/test_leftovers.py",
)  # fmt: skip
"""The files of tests that take ten seconds and more of the processor, the longest first."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin the longest files first: two who test a file at a time then end at about the same time."""
    first = [Path(__file__).parent / name for name in LONGEST]
    assert all(path.is_file() for path in first)
    items.sort(key=lambda item: first.index(item.path) if item.path in first else len(first))


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory):
    """No test writes among the user's own caches, nor does a command that a test runs."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("caches")))
        yield


@pytest.fixture
def write_collection():
    """`write_collection(tmp_path, {"quilts/low-tide.yaml": "title: Low Tide\\n"})` -> the folder.

    Text is written as UTF-8 with its line ends kept, bytes as they are.
    """

    def write(folder: Path, files: Mapping[str, str | bytes]) -> Path:
        for name, content in files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content.encode() if isinstance(content, str) else content)
        return folder

    return write


@pytest.fixture
def a_photo():
    """`a_photo(path, size=(600, 800), colour="seagreen")` -> the path of a drawn patchwork.

    The format goes by the path's ending. `save` takes whatever Pillow's `save` does, such as an
    `exif` block.
    """
    from PIL import Image, ImageDraw, ImageEnhance

    def draw(
        path: Path,
        size: tuple[int, int] = (600, 800),
        colour: str | tuple[int, int, int] = "seagreen",
        **save,
    ) -> Path:
        picture = Image.new("RGB", size, colour)
        pale = ImageEnhance.Brightness(picture.resize((1, 1))).enhance(1.25).getpixel((0, 0))
        pen = ImageDraw.Draw(picture)
        patch = max(1, min(size) // 6)
        for left in range(0, size[0], patch):
            for top in range(0, size[1], patch):
                if (left + top) // patch % 2:
                    pen.rectangle((left, top, left + patch - 1, top + patch - 1), fill=pale)
        path.parent.mkdir(parents=True, exist_ok=True)
        picture.save(path, **save)
        return path

    return draw
