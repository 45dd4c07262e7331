"""What people read on pages: no name of a field, no command, and no ID where there is a name.

Files are named where the desk tells what was written, on its pages of changes: those are left out here.
"""

import re
import shutil
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from desk_served import DeskServed

from collection.loading.loader import read_collection
from collection.transfers.handovers import find_batches
from site_builder.documents.as_page import set_as_page
from site_builder.documents.handover_sheet import handover_sheet

DEMO = Path(__file__).parents[2] / "demo_collection"
_UNREAD = ("script", "style", "template")
_SPOKEN = ("aria-label", "title", "alt", "placeholder")
_ADDRESS = re.compile(r"\S*[@/]\S*")
"""Of the web, of a person, or of a file: a photo is called as it is on the disk."""
_FAULTS = {
    "a name with an underscore": re.compile(r"\w*[^\W\d]_[^\W\d]\w*"),
    "a command": re.compile(r"\bcounterpane (?:[a-z-]+)\b"),
    "an option": re.compile(r"(?<![\w-])--[a-z][\w-]*"),
}


class _Words(HTMLParser):
    """All that a page says to eyes and ears."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self._unread = 0

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self._unread += tag in _UNREAD
        self.said += [value for name, value in attributes if name in _SPOKEN and value]

    def handle_endtag(self, tag: str) -> None:
        self._unread -= tag in _UNREAD

    def handle_data(self, data: str) -> None:
        if not self._unread and data.strip():
            self.said.append(" ".join(data.split()))


@pytest.fixture(scope="module")
def demo():
    return read_collection(DEMO)


@pytest.fixture(scope="module")
def ids(demo) -> frozenset[str]:
    """The IDs of records that can be no word of a sentence, with those that are a name's only as a whole."""
    collection = demo.collection
    return frozenset([*collection.quilts, *collection.partners, *collection.requests])


def faults(page: str, ids: frozenset[str]) -> list[str]:
    words = _Words()
    words.feed(page)
    found = []
    for said in words.said:
        plain = _ADDRESS.sub(" ", said)
        found += [
            f"{kind}: {match[0]} in {said[:100]!r}"
            for kind, fault in _FAULTS.items()
            for match in fault.finditer(plain)
        ]
        hyphened = (word for word in re.findall(r"[\w-]+", plain) if "-" in word)
        found += [f"an ID: {word} in {said[:100]!r}" for word in (*hyphened, plain.strip()) if word in ids]
    return found


def all_faults(pages: Iterable[tuple[str, str]], ids: frozenset[str]) -> list[str]:
    return [f"{name}: {fault}" for name, page in pages for fault in faults(page, ids)]


@pytest.mark.parametrize(
    "said",
    ["it is unready (ready_by)", "counterpane match saves it", "use --all", "2026-spring-cots, line cots", "nell"],
)
def test_what_must_not_be_said_is_found(said, ids):
    assert faults(f"<p>{said}</p>", ids)


_LETTER_X = re.compile(r"\d x \d\S*")


def letters_between_sides(page: str) -> list[str]:
    """Sizes with an x between their sides. It is what people type, so forms may ask for it; what is shown has a ×."""
    words = _Words()
    words.feed(page)
    return [found for said in words.said for found in _LETTER_X.findall(said)]


def test_an_x_between_sides_is_found():
    assert letters_between_sides("<p>60 1/2 x 70 in, best 54 × 66 in</p>") == ["2 x 70"]


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_sizes_have_one_sign_between_their_sides(built_demo, edition):
    pages = sorted((built_demo / edition).rglob("*.html"))
    assert [
        (path.name, found) for path in pages for found in letters_between_sides(path.read_text(encoding="utf-8"))
    ] == []


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_no_page_names_a_field_a_command_or_an_id(built_demo, ids, edition):
    pages = ((path.name, path.read_text(encoding="utf-8")) for path in sorted((built_demo / edition).rglob("*.html")))
    assert all_faults(pages, ids) == []


def test_no_sheet_for_a_batch_names_a_field_a_command_or_an_id(demo, ids):
    sheets = [handover_sheet(demo.collection, batch) for batch in find_batches(demo.collection)]
    pages = [
        (f"sheet {number}", set_as_page("handover_sheet.html", sheet, pictures={}).decode())
        for number, sheet in enumerate(sheets)
    ]
    assert pages and all_faults(pages, ids) == []


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Iterator[DeskServed]:
    """A desk over the demo's records with something wrong, and something to look at, in several of them."""
    folder = tmp_path_factory.mktemp("words at the desk") / "mine"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("photos", "drawing"))
    (folder / "partners/zz.yaml").write_text("name: Zed\npart_of: zz\nacts_for: [nell]\n")
    (folder / "quilts/zz.yaml").write_text(
        "title: Zed\nfinished_size: wide\nready_by: soon\nmaterials_cost: £45.00\n"
        "destination: {is: donated, to: nell, acknowledged: 2026-05-12, request: 2026-spring-cots}\n"
    )
    (folder / "requests/zz.yaml").write_text(
        "partner: nell\nlines:\n  - {id: zz, count: 1, size: small, needs: [label], no: [label]}\n"
    )
    served = DeskServed(folder, tmp_path_factory.mktemp("cache"))
    yield served
    served.close()


DESK_PAGES = (
    "/desk/", "/desk/new/quilt", "/desk/new/partner", "/desk/new/request", "/desk/match", "/desk/edit/collection",
    "/desk/edit/quilts/zz", "/desk/edit/partners/zz", "/desk/edit/requests/zz", "/desk/edit/quilts/low-tide",
    "/desk/edit/partners/nell", "/desk/edit/requests/2026-spring-cots", "/desk/where/low-tide", "/desk/photos/low-tide",
    "/desk/move/promise", "/desk/move/hand-over", "/desk/move/delivered", "/desk/move/acknowledged", "/desk/move/lost",
    "/desk/move/delivered?quilt=low-tide&on=2026-05-12&show=yes",
    "/desk/move/hand-over?quilt=low-tide&through=nell&on=2026-05-12&show=yes",
)  # fmt: skip


@pytest.mark.parametrize("path", DESK_PAGES)
def test_no_page_of_the_desk_names_a_field_a_command_or_an_id(desk, ids, path):
    assert all_faults([(path, desk.read(path))], ids) == []


@pytest.mark.parametrize("path", ["/desk/match", "/desk/move/promise", "/desk/move/hand-over"])
def test_sizes_at_the_desk_have_one_sign_between_their_sides(desk, path):
    assert letters_between_sides(desk.read(path)) == []
