"""Links from the binder's pages to the desk, inserted when the preview serves them; the files do not have them."""

import re
from collections.abc import Callable
from html import escape
from urllib.parse import quote

from collection.forms.field_labels import field_label
from site_builder.desk.records.files import KIND_OF

DESK_STYLE = "/desk/assets/in-pages.css"

_HEAD_ENDS = b"</head>"
_MAIN_BEGINS = re.compile(rb'<main class="main" id="main">\n?')
_QUILT_PAGE = re.compile(r"quilts/(.+)\.html")
_ASKS = re.compile(rb'<(\w+)([^<>]*?) data-edit="([^"<>]*)"([^<>]*)>')

_ALWAYS = [("/desk/changes", "What was changed"), ("/desk/", "The desk")]
_ADD = ("/desk/new/quilt", "Add a quilt")
_BY_PAGE = {
    "requests.html": [("/desk/new/request", "Write down a request"), ("/desk/match", "Match quilts to requests")],
    "plan.html": [
        ("/desk/match", "Promise what fits"),
        ("/desk/move/set-free", "Set quilts free"),
        ("/desk/new/request", "Write down a request"),
    ],
    "handovers.html": [
        ("/desk/move/hand-over", "Hand over a batch"),
        ("/desk/move/delivered", "Say where quilts landed"),
    ],
    "recipients.html": [("/desk/new/partner", "Add a charity or go-between")],
    "follow-ups.html": [
        ("/desk/move/delivered", "Say where quilts landed"),
        ("/desk/move/acknowledged", "A letter came"),
    ],
}


def _no_name(record: str) -> None:
    return None


def asks_for_names(page: bytes) -> bool:
    """Does a page have elements for edit links, for which the names of records are needed?"""
    return _ASKS.search(page) is not None


def with_links(
    page: bytes, path: str, *, build_failed: bool = False, name_of: Callable[[str], str | None] = _no_name
) -> bytes:
    """The page at `path` in the binder, with its links to the desk.

    An element with `data-edit="quilts/ID"` or `data-edit="quilts/ID#field"` gets, as its first child, a link to that
    form or field. `name_of` gives the displayed name of a record.
    """
    if not _MAIN_BEGINS.search(page):
        return page
    links = "".join(f'<li><a href="{href}">{words}</a></li>' for href, words in _links(path))
    trouble = ""
    if build_failed:
        trouble = (
            '<p class="desk-trouble" role="status">These pages are as they were before: something in the files keeps new '
            'ones from being built. <a href="/desk/#trouble">See what it is</a></p>'
        )
    ways = f'<nav class="desk-ways" aria-label="The desk"><ul>{links}</ul></nav>{trouble}\n'.encode()
    style = f'<link rel="stylesheet" href="{DESK_STYLE}">'.encode()
    page = _ASKS.sub(lambda found: _with_link(found, name_of), page)
    page = page.replace(_HEAD_ENDS, style + _HEAD_ENDS, 1)
    return _MAIN_BEGINS.sub(lambda found: found[0] + ways, page, count=1)


def _links(path: str) -> list[tuple[str, str]]:
    """The desk's pages that belong to a page of the binder."""
    if found := _QUILT_PAGE.fullmatch(path):
        quilt = quote(found[1])
        return [
            (f"/desk/edit/quilts/{quilt}", "Edit this quilt"),
            (f"/desk/photos/{quilt}", "Add photos"),
            (f"/desk/where/{quilt}", "Say where it goes"),
            *_ALWAYS,
        ]
    return [*_BY_PAGE.get(path, []), _ADD, *_ALWAYS]


def _with_link(found: re.Match[bytes], name_of: Callable[[str], str | None]) -> bytes:
    record, _, field = found[3].decode().partition("#")
    folder, _, record_id = record.rpartition("/")
    words = "Fill in" if field else "Edit"
    label = field_label(KIND_OF.get(folder, "collection"), field)
    about = f"{words}: {', '.join(filter(None, [name_of(record) or record_id, label]))}"
    link = (
        f'<a class="desk-edit" href="{escape(edit_address(record, field))}" aria-label="{escape(about)}">{words}</a> '
    )
    return found[0] + link.encode()


def edit_address(record: str, field: str = "") -> str:
    """The address of a record's form, or of one of its fields.

    >>> edit_address("quilts/low-tide", "finished_size")
    '/desk/edit/quilts/low-tide#field-finished_size'
    """
    return f"/desk/edit/{quote(record)}" + (f"#field-{field}" if field else "")
