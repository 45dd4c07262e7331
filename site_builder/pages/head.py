"""The head of every page: its title, its navigation, and the strip of patches."""

from collections.abc import Sequence
from urllib.parse import urlsplit

from collection.records.quilt import Quilt
from site_builder.drawings.patchwork import head_strip
from site_builder.pages.binder.pages import BINDER_PAGES
from site_builder.pages.cards import PICTURE_FOLDER
from site_builder.pages.edition import Edition, PageSpec
from site_builder.pages.structured_data import artwork, as_script
from site_builder.pages.wall import colours_of, title_of
from site_builder.text.urls import BROWSE, GIVING, HOMES, NOT_FOUND, WALL, relative, text_path, top
from site_builder.views.pages import NavGroup, PageHead
from site_builder.views.parts import Link


class PageHeads:
    """Makes the heads of an edition's pages from what all of them share."""

    def __init__(self, edition: Edition, quilts: Sequence[Quilt]):
        self.edition = edition
        self.groups = self._navigation()
        self.colours = colours_of(edition, quilts)
        self._strip = head_strip(self.colours)
        self._paths = {path for _, links in self.groups for _, path in links}
        self._navs: dict[tuple[str, str, str], tuple[NavGroup, ...]] = {}

    def head(self, spec: PageSpec) -> PageHead:
        settings = self.edition.collection.settings
        # The binder has no address on the web.
        url = settings.site.url.rstrip("/") + "/" if settings.site.url and not self.edition.is_binder else None
        title = spec.title if spec.path == WALL else f"{spec.title} · {settings.title}"
        return PageHead(
            path=spec.path,
            title=title if not self.edition.is_binder else f"{title} · binder",
            description=spec.description,
            edition=self.edition.name,
            site_title=settings.title,
            language=settings.site.language,
            root=self._root(spec, url),
            nav=self._nav(spec, self._root(spec, url)),
            trail=tuple(Link(label, relative(path, seen_from=spec.path)) for label, path in spec.trail),
            strip=head_strip(spec.colours) if spec.colours else self._strip,
            canonical=url + relative(spec.path, seen_from="") if url else None,
            image=f"{url}{PICTURE_FOLDER}/{spec.image}" if url and spec.image else None,
            structured=(
                as_script(artwork(self.edition.only([spec.quilt]), spec.quilt, base=url))
                if spec.quilt and not self.edition.is_binder
                else None
            ),
            rights=settings.site.rights,
            has_feed=url is not None,
        )

    def _navigation(self) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
        """Names, labels and paths of the navigation, the same on all pages."""
        edition = self.edition
        first = [("All quilts", WALL), ("Browse", BROWSE)]
        if edition.shows("destination"):
            first += [("Looking for homes", HOMES), ("Giving", GIVING)]
        first += [(title_of(page), text_path(page.id)) for page in edition.collection.pages.values()]
        groups = [("", tuple(first))]
        if edition.is_binder:
            groups.append(("Binder", tuple((page.heading, page.path) for page in BINDER_PAGES)))
        return tuple(groups)

    def _root(self, spec: PageSpec, url: str | None) -> str:
        """The path from a page to the edition's folder.

        A web server shows the not-found page at any address, however deep. Only the whole path of the site leads back
        from there, if the settings have it.
        """
        return urlsplit(url).path.rstrip("/") + "/" if url and spec.path == NOT_FOUND else top(spec.path)

    def _nav(self, spec: PageSpec, root: str) -> tuple[NavGroup, ...]:
        """The navigation, which most pages of one depth share."""
        asked_for = root, spec.path if spec.path in self._paths else "", spec.section
        if asked_for not in self._navs:
            self._navs[asked_for] = self._made_nav(spec, root)
        return self._navs[asked_for]

    def _made_nav(self, spec: PageSpec, root: str) -> tuple[NavGroup, ...]:
        def current(path: str) -> str:
            if path == spec.path:
                return "page"
            return "true" if path == spec.section else ""

        return tuple(
            NavGroup(
                name,
                tuple(Link(label, root + relative(path, seen_from=""), current=current(path)) for label, path in links),
            )
            for name, links in self.groups
            if links
        )
