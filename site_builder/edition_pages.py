"""The pages of one edition: those of a build before that still hold, and those to be made."""

from collections.abc import Iterator
from dataclasses import dataclass

from collection.file_stamps import digest_of
from site_builder.edition import Edition
from site_builder.edition_writing import EditionWriter
from site_builder.looked_at import LookedAt, Looks
from site_builder.page_heads import PageHeads
from site_builder.page_plans import PagePlan
from site_builder.pages_looked_at import PagesLookedAt
from site_builder.record_digests import RecordDigests
from site_builder.rendering import Renderer
from site_builder.site_map import pages_of
from site_builder.wall_pages import wall_order


@dataclass(frozen=True, slots=True)
class MadePage:
    """A page as it will be written, with what it looked at. `has_own_strip`: it has quilts with colours."""

    content: bytes
    looks: Looks
    has_own_strip: bool


class EditionPages:
    """All pages of an edition. `make` needs nothing but what was there when this was made, and changes nothing."""

    def __init__(self, edition: Edition, writer: EditionWriter, digests: RecordDigests, looks: PagesLookedAt):
        self.edition = edition
        self.writer = writer
        self.digests = digests
        self.looks = looks
        self.quilts = wall_order(edition)
        self.plans: tuple[PagePlan, ...] = tuple(pages_of(edition, self.quilts))
        self._heads = PageHeads(edition, self.quilts)
        self._renderer = Renderer()

    def keep_what_holds(self) -> Iterator[PagePlan]:
        """Keep each page that can't have changed; yields the others, to be made."""
        for plan in self.plans:
            before = self.looks.before(plan.path)
            if before is not None and self.writer.kept(plan.path, self._rest_on(plan, before)):
                self.looks.note(plan.path, before)
            else:
                yield plan

    def make(self, plan: PagePlan) -> MadePage:
        """One page from the records."""
        looked_at = LookedAt()
        spec = plan.page(self.edition, looked_at)
        content = self._renderer.page(spec.template, self._heads.head(spec), spec.view)
        return MadePage(content, looked_at.looks(plan.quilts), bool(spec.colours))

    def put(self, plan: PagePlan, page: MadePage) -> None:
        """Write a page that was made, and note what it rests on."""
        own, with_strip = self._rest_on(plan, page.looks)
        self.writer.put(plan.path, page.content, own if page.has_own_strip else with_strip)
        self.looks.note(plan.path, page.looks)

    def _rest_on(self, plan: PagePlan, looks: Looks) -> tuple[str, str]:
        """What a page rests on; and if none of its quilts has colours, so that it has the whole edition's strip."""
        own = plan.rests_on(self.digests, looks, self.edition.on)
        return own, digest_of(f"{own} {self._heads.colours}".encode())
