"""The preview's pages: both editions, which reload after each build; those of the binder have links to the desk."""

import os
from pathlib import Path
from types import TracebackType

from tornado.web import HTTPError, RequestHandler, StaticFileHandler

from site_builder.building.watch import Builds
from site_builder.desk.links import asks_for_names, with_links
from site_builder.desk.new_collection import no_collection_in
from site_builder.desk.problem_links import RecordNames
from site_builder.desk.static_files import desk_asset
from site_builder.preview.livereload import with_reloading
from site_builder.terminal import explain

EDITIONS = {"catalogue": "The public catalogue", "binder": "The private binder"}


class LocalPage(RequestHandler):
    """The base of all handlers: no answer is stored, or shown in another site's page."""

    @property
    def builds(self) -> Builds:
        builds: Builds = self.settings["builds"]
        return builds

    def set_default_headers(self) -> None:
        self.set_header("Cache-Control", "no-store")
        self.set_header("X-Content-Type-Options", "nosniff")
        self.set_header("Cross-Origin-Resource-Policy", "same-origin")
        self.set_header("Referrer-Policy", "same-origin")
        self.set_header("X-Frame-Options", "SAMEORIGIN")

    def log_exception(
        self, typ: type[BaseException] | None, value: BaseException | None, tb: TracebackType | None
    ) -> None:
        """Report a file that can't be read in words, without a traceback, which would show the request as well."""
        if isinstance(value, Exception) and not isinstance(value, HTTPError):
            explain(value)

    def write_error(self, status_code: int, **_: object) -> None:
        if status_code >= 500:
            title, why = (
                "This could not be shown",
                "The terminal says why. Load this page again once that is put right.",
            )
        else:
            title, why = "Nothing here", "There is no such page."
        self.finish_page(plain_page(title, f"<p>{why} <a href='/'>Both editions</a></p>"))

    def finish_page(self, page: bytes) -> None:
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.finish(with_reloading(page, self.builds.name, self.request.host))


class OtherHost(LocalPage):
    def prepare(self) -> None:
        self.set_status(403)
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(f"This preview answers only at http://{self.settings['hosts'][0]}/.\n")


class NoSuchPage(LocalPage):
    def prepare(self) -> None:
        raise HTTPError(404)


class BothEditions(LocalPage):
    def initialize(self, output: Path) -> None:
        self.output = output

    def get(self) -> None:
        if no_collection_in(self.settings["desk"].folder):
            self.redirect("/desk/begin")
            return
        there = {name: what for name, what in EDITIONS.items() if (self.output / name).is_dir()}
        links = "".join(f"<li><a href='/{name}/'>{what}</a></li>" for name, what in there.items())
        state = ""
        if self.builds.in_hand:
            state = "<p>A build is in hand; this page shows its result as soon as it is done.</p>"
        elif self.builds.failed:
            state = "<p>The last build could not be finished. The desk says why.</p>"
        desk = "<li><a href='/desk/'>The desk, where you write</a></li>"
        self.finish_page(plain_page("Counterpane, on this machine", f"{state}<ul class='jump'>{links}{desk}</ul>"))


class BuildName(LocalPage):
    def get(self) -> None:
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(self.builds.name)


class ShowsCurrentBuild(LocalPage):
    """The script that reloads a page if a build ended while the page was still loading."""

    def get(self) -> None:
        self.set_header("Content-Type", "text/javascript; charset=utf-8")
        self.finish(
            "const shown = document.currentScript.dataset.build;\n"
            'document.addEventListener("LiveReloadConnect", async () => {\n'
            '  const built = await (await fetch("/build-name")).text();\n'
            "  if (built !== shown) location.reload();\n"
            "});\n"
        )


class EditionFile(LocalPage, StaticFileHandler):
    async def get(self, path: str, include_body: bool = True) -> None:
        if "\0" in path:
            raise HTTPError(404)
        self.path = self.parse_url_path(path)
        asked_for = self.get_absolute_path(self.root, self.path)
        if not os.path.exists(asked_for):
            await self.builds.at_rest()
        file = self.validate_absolute_path(self.root, asked_for)
        if file is None:  # a folder named without its closing slash: already redirected
            return
        if file.endswith(".html"):
            page = Path(file).read_bytes()
            if Path(self.root).name == "binder":
                inside = Path(file).relative_to(self.root).as_posix()
                names = await self.settings["desk"].names() if asks_for_names(page) else RecordNames(None)
                page = with_links(page, inside, build_failed=self.builds.failed, name_of=names.of_record)
            self.finish_page(page)
        else:
            await super().get(path, include_body)

    def compute_etag(self) -> None:
        return None

    def should_return_304(self) -> bool:
        return False


_SHEETS = ("tokens", "base", "page", "wall")
_LINKED = '<link rel="icon" type="image/svg+xml" href="/desk/assets/icon.svg">' + "".join(
    f'<link rel="stylesheet" href="/desk/assets/{sheet}.css">' for sheet in _SHEETS
)


def plain_page(title: str, body: str, *, look: str = _LINKED) -> bytes:
    """A page of the preview's own."""
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        '<meta name="viewport" content="width=device-width">'
        f'<meta name="color-scheme" content="light dark">{look}'
        f'</head><body><main class="main"><div class="page-head"><h1>{title}</h1></div>{body}</main></body></html>'
    ).encode()


def look_within() -> str:
    """The styles, for a page that may load no file."""
    return f"<style>{''.join(desk_asset(f'{sheet}.css').decode() for sheet in _SHEETS)}</style>"
