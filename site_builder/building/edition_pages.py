"""The pages of one edition: those of an earlier build that still hold, and those to make."""

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
    """A page's HTML and its dependencies. `has_own_strip`: it has quilts with colours."""

    content: bytes
    dependencies: PageDependencies
    has_own_strip: bool


class EditionPages:
    """All pages of an edition. `make` changes nothing, so that it can run in other processes."""

    def __init__(
        self,
        edition: Edition,
        writer: EditionWriter,
        digests: RecordDigests,
        dependencies: DependencyStore,
        before: EditionNotes | None,
    ):
        self.edition = edition
        self.writer = writer
        self.digests = digests
        self.dependencies = dependencies
        self.quilts = wall_order(edition)
        self.plans: tuple[PagePlan, ...] = tuple(pages_of(edition, self.quilts))
        self._heads = PageHeads(edition, self.quilts)
        self._strip = digest_of(repr(self._heads.colours).encode())
        self._renderer = Renderer()
        self._former_inputs = {path: note.input_digest for path, note in before.files.items()} if before else {}
        former = before.quilts if before else {}
        changed = {quilt: former.get(quilt, "") for quilt, now in digests.quilts.items() if now != former.get(quilt)}
        self._before_they_changed = RecordDigests("", "", changed, {})

    def keep_what_holds(self) -> Iterator[PagePlan]:
        """Keep each page that can't have changed; yields the plans of the others."""
        for plan in self.plans:
            before = self.dependencies.before(plan.path)
            if before is not None and self.writer.kept(plan.path, self._input_digests(plan, before)):
                self.dependencies.note(plan.path, before)
            else:
                yield plan

    def make(self, plan: PagePlan) -> MadePage:
        """One page from the records."""
        dependencies = Dependencies()
        spec = plan.page(self.edition, dependencies)
        content = self._renderer.page(spec.template, self._heads.head(spec), spec.view)
        return MadePage(content, dependencies.of_page(plan.quilts), bool(spec.colours))

    def put(self, plan: PagePlan, page: MadePage) -> None:
        """Write a page, and note its dependencies."""
        own, with_strip = self._input_digests(plan, page.dependencies)
        self.writer.put(plan.path, page.content, own if page.has_own_strip else with_strip)
        self.dependencies.note(plan.path, page.dependencies)

    def _input_digests(self, plan: PagePlan, dependencies: PageDependencies) -> tuple[str, str]:
        """A page's input digest; and the one if its quilts have no colours, so that it shows the edition's strip."""
        beside = plan.beside_quilts(self.digests, dependencies, self.edition.on)
        quilts = self._quilts_as_before(plan, dependencies, beside) or plan.of_quilts(self.digests, dependencies)
        return f"{beside} {quilts}", f"{beside} {quilts} {self._strip}"

    def _quilts_as_before(self, plan: PagePlan, dependencies: PageDependencies, beside: str) -> str | None:
        """The former digest of the page's quilts, if neither they nor anything else has changed: the usual case."""
        match str(self._former_inputs.get(plan.path)).split():
            case [same, quilts, *_] if same == beside:
                if plan.says_the_same(self.digests, self._before_they_changed, dependencies):
                    return quilts
        return None
