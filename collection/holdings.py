"""All that a collection holds, once read."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings


@dataclass(frozen=True)
class Page:
    """An extra page in Markdown; its title is its first heading, else its file's name."""

    id: str
    title: str
    markdown: str


@dataclass(frozen=True)
class Collection:
    """All sound records of a folder, by ID in the order of the alphabet.

    `photos` holds the names of all files below photos/, as they are spelled on the disk.
    """

    folder: Path
    settings: Settings = Settings()
    quilts: Mapping[str, Quilt] = field(default_factory=dict)
    partners: Mapping[str, Partner] = field(default_factory=dict)
    requests: Mapping[str, Request] = field(default_factory=dict)
    pages: Mapping[str, Page] = field(default_factory=dict)
    photos: frozenset[str] = frozenset()
