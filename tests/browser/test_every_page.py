"""What holds for every page of both editions, read from the disk."""

from collections import Counter
from pathlib import Path
from urllib.parse import unquote

import pytest
from page_kinds import KINDS, pages_by_kind
from page_structure import Document, faults
from PIL import Image
from site_links import Edition, srcset_candidates

EDITIONS = ("catalogue", "binder")


def nothing_in(told: list[str]) -> None:
    assert not told, "\n".join(told[:40])


@pytest.fixture(scope="module", params=EDITIONS)
def folder(request, built_demo: Path) -> Path:
    return built_demo / request.param


@pytest.fixture(scope="module")
def documents(folder: Path) -> dict[Path, Document]:
    """Every page of an edition, parsed."""
    files = sorted(folder.rglob("*.html"))
    assert files
    return {file: Document.parse(file.read_text(encoding="utf-8")) for file in files}


@pytest.fixture(scope="module")
def edition(folder: Path) -> Edition:
    # The binder has no address on the web, so none of its pages is shown by a web server.
    return Edition.read(folder, shown_anywhere="404.html" if folder.name == "catalogue" else None)


def test_the_demo_shows_every_kind_of_page_and_no_other(built_demo):
    by_kind = pages_by_kind(built_demo)
    nothing_in(by_kind.get(None, []))
    nothing_in([str(kind) for kind in KINDS if kind not in by_kind])


def test_every_page_is_sound_html(documents, folder):
    where: dict[str, list[str]] = {}
    for file, document in documents.items():
        for fault in faults(document):
            where.setdefault(fault, []).append(file.relative_to(folder).as_posix())
    nothing_in([f"{pages[0]} and {len(pages) - 1} more: {fault}" for fault, pages in where.items()])


def test_no_two_pages_have_the_same_title(documents):
    titles = Counter(document.title for document in documents.values())
    nothing_in([title for title, count in titles.items() if count > 1])


def test_every_address_leads_to_a_file_of_the_same_edition(edition):
    nothing_in(edition.broken())


def test_every_page_is_reached_from_the_first(edition):
    nothing_in(sorted(edition.unreachable() - {"404.html"}))


def test_every_picture_is_as_large_as_its_page_says(documents):
    """A wrong width in a srcset costs a phone money; wrong proportions make the page jump."""
    sizes: dict[Path, tuple[int, int]] = {}

    def size_of(file: Path) -> tuple[int, int]:
        if file not in sizes:
            with Image.open(file) as picture:
                sizes[file] = picture.size
        return sizes[file]

    told = []
    for page, document in documents.items():
        for img in document.all("img"):
            for address, claimed in srcset_candidates(img.get("srcset", "")).items():
                width, _ = size_of(page.parent / unquote(address))
                if claimed != f"{width}w":
                    told.append(f"{page.name}: {address} is {width} px wide, not {claimed}")
            if img.get("src"):
                width, height = size_of(page.parent / unquote(img.get("src")))
                said = int(img.get("width")) / int(img.get("height"))
                if abs(said - width / height) > 0.02 * said:
                    told.append(f"{page.name}: {img.get('src')} has not the proportions {said:.3f}")
    assert sizes
    nothing_in(told)
