"""The pages of one edition: those of a build before that still hold, and those to be made."""

from collections.abc import Iterator
from dataclasses import dataclass

from collection.storage.fingerprints import digest_of
from site_builder.building.edition_writer import EditionWriter
from site_builder.incremental.dependencies import Dependencies, PageDependencies
from site_builder.incremental.dependency_store import DependencyStore
from site_builder.incremental.digests import RecordDigests
from site_builder.incremental.manifest import EditionNotes
from site_builder.pages.all_pages import pages_of
from site_builder.pages.edition import Edition
from site_builder.pages.head import PageHeads
from site_builder.pages.page_plan import PagePlan
from site_builder.pages.wall import wall_order
from site_builder.rendering.renderer import Renderer


@dataclass(frozen=True, slots=True)
class MadePage:
    """A page as it will be written, with what it looked at. `has_own_strip`: it has quilts with colours."""

    content: bytes
    looks: PageDependencies
    has_own_strip: bool


class EditionPages:
    """All pages of an edition. `make` needs nothing but what was there when this was made, and changes nothing."""

    def __init__(
        self,
        edition: Edition,
        writer: EditionWriter,
        digests: RecordDigests,
        looks: DependencyStore,
        before: EditionNotes | None,
    ):
        self.edition = edition
        self.writer = writer
        self.digests = digests
        self.looks = looks
        self.quilts = wall_order(edition)
        self.plans: tuple[PagePlan, ...] = tuple(pages_of(edition, self.quilts))
        self._heads = PageHeads(edition, self.quilts)
        self._strip = digest_of(repr(self._heads.colours).encode())
        self._renderer = Renderer()
        self._rested_on = {path: note.input_digest for path, note in before.files.items()} if before else {}
        said = before.quilts if before else {}
        changed = {quilt: said.get(quilt, "") for quilt, says in digests.quilts.items() if says != said.get(quilt)}
        self._before_they_changed = RecordDigests("", "", changed, {})

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
        dependencies = Dependencies()
        spec = plan.page(self.edition, dependencies)
        content = self._renderer.page(spec.template, self._heads.head(spec), spec.view)
        return MadePage(content, dependencies.looks(plan.quilts), bool(spec.colours))

    def put(self, plan: PagePlan, page: MadePage) -> None:
        """Write a page that was made, and note what it rests on."""
        own, with_strip = self._rest_on(plan, page.looks)
        self.writer.put(plan.path, page.content, own if page.has_own_strip else with_strip)
        self.looks.note(plan.path, page.looks)

    def _rest_on(self, plan: PagePlan, looks: PageDependencies) -> tuple[str, str]:
        """What a page rests on; and if none of its quilts has colours, so that it has the whole edition's strip."""
        beside = plan.beside_quilts(self.digests, looks, self.edition.on)
        quilts = self._quilts_as_before(plan, looks, beside) or plan.of_quilts(self.digests, looks)
        return f"{beside} {quilts}", f"{beside} {quilts} {self._strip}"

    def _quilts_as_before(self, plan: PagePlan, looks: PageDependencies, beside: str) -> str | None:
        """What stood for the page's quilts when all else was as it is, if they say the same: most say so."""
        match str(self._rested_on.get(plan.path)).split():
            case [same, quilts, *_] if same == beside:
                if plan.says_the_same(self.digests, self._before_they_changed, looks):
                    return quilts
        return None
