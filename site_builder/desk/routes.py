"""The addresses of the desk, and the page for each."""

from typing import Any

from tornado.web import RedirectHandler

from site_builder.desk.home import FrontPage, SavedPage, SheetPage, WhenBuiltPage
from site_builder.desk.new_collection import BeginPage
from site_builder.desk.photos.pages import AddPhotosPage, NewQuiltPage, PhotoPage, RenditionPage
from site_builder.desk.records.edit_pages import RecordPage
from site_builder.desk.records.new_pages import NewRecordPage
from site_builder.desk.static_files import DeskAsset
from site_builder.desk.transfers.match_page import MatchPage
from site_builder.desk.transfers.pages import TransferPage, WherePage
from site_builder.desk.undo_pages import ChangesPage, TakeBackPage


def desk_routes() -> list[Any]:
    """The routes for the preview's application."""
    return [
        (r"/desk", RedirectHandler, {"url": "/desk/", "permanent": False}),
        (r"/desk/", FrontPage),
        (r"/desk/begin", BeginPage),
        (r"/desk/new/quilt", NewQuiltPage),
        (r"/desk/new/(partner|request)", NewRecordPage),
        (r"/desk/edit/collection", RecordPage),
        (r"/desk/edit/(quilts|partners|requests)/([^/]+)", RecordPage),
        (r"/desk/photos/([^/]+)", AddPhotosPage),
        (r"/desk/where/([^/]+)", WherePage),
        (r"/desk/move/([a-z-]+)", TransferPage),
        (r"/desk/match", MatchPage),
        (r"/desk/changes", ChangesPage),
        (r"/desk/changes/(back|again)", TakeBackPage),
        (r"/desk/saved", SavedPage),
        (r"/desk/when-built", WhenBuiltPage),
        (r"/desk/sheet/([^/]+)", SheetPage),
        (r"/desk/assets/([a-z-]+\.[a-z]+)", DeskAsset),
        (r"/desk/photo/(.+)", PhotoPage),
        (r"/pictures/([^/]+)", RenditionPage),
    ]
