"""A store of pictures, photos taken long ago, and how many were decoded."""

import os

import pytest

from site_builder.images import decode
from site_builder.images.store import PictureStore
from tests.site_builder.images.drawn_photos import (
    encoded,
    patchwork,
)

LONG_AGO = 1_000_000_000


@pytest.fixture
def store(tmp_path):
    return PictureStore(tmp_path / "store")


@pytest.fixture
def photo(tmp_path):
    """`photo("front.jpg", picture)` -> its path; taken long ago, so that its time can be trusted."""

    def write(name, picture=None, *, kind="JPEG", **options):
        path = tmp_path / "photos" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(
            picture if isinstance(picture, bytes) else encoded(picture or patchwork(640, 480), kind, **options)
        )
        os.utime(path, (LONG_AGO, LONG_AGO))
        return path

    return write


@pytest.fixture
def decodings(monkeypatch):
    """The number of photos decoded so far, as a list that grows."""
    seen = []
    really_decode = decode.decode

    def counted(content, **options):
        seen.append(len(content))
        return really_decode(content, **options)

    monkeypatch.setattr(decode, "decode", counted)
    return seen
