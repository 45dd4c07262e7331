"""The style sheets and scripts of the desk's pages, which no edition contains."""

from functools import cache
from importlib.resources import files

from tornado.web import HTTPError

from site_builder.desk.handlers import DeskPage

_OF_THE_SITE = ("tokens.css", "base.css", "stitch.css", "page.css", "hung.css", "wall.css", "tables.css")
_OF_THE_DESK = ("desk.css", "forms.css", "in-pages.css", "desk.js")
_KINDS = {"css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8", "svg": "image/svg+xml"}


class DeskAsset(DeskPage):
    """One file by its name."""

    def get(self, name: str) -> None:
        try:
            content = desk_asset(name)
        except KeyError:
            raise HTTPError(404) from None
        self.set_header("Content-Type", _KINDS[name.rpartition(".")[2]])
        self.finish(content)


@cache
def desk_asset(name: str) -> bytes:
    """The content of a file. KeyError if the desk has no file of that name."""
    here = files("site_builder")
    if name in _OF_THE_SITE:
        return (here / "assets" / "css" / name).read_bytes()
    if name == "icon.svg":
        return (here / "assets" / name).read_bytes()
    if name in _OF_THE_DESK:
        return (here / "desk" / "assets" / name).read_bytes()
    raise KeyError(name)
