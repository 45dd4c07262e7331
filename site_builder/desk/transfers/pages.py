"""Records transfers of quilts: choose the quilts, see what would change, record it."""

import hashlib
from dataclasses import dataclass
from datetime import date

from tornado.web import HTTPError

from collection.loading.loader import Reading
from collection.matching.judgement import checks_in_short
from collection.matching.open_places import requirements_of
from collection.matching.plan import days_passed
from collection.problems import CollectionProblems
from collection.records.collection import Collection
from collection.storage.change_log import LogEntry
from collection.storage.transaction import FileChanges
from collection.transfers.file_edits import file_changes
from collection.transfers.transfers import Assignment, Change, Transfers, reminders_of_transfers
from collection.transfers.wording import format_state, partner_name
from collection.values.dates import EdtfDate
from site_builder.desk.handlers import Answers, DeskForm, DeskPage
from site_builder.desk.log_entries import log_entry_of_transfers
from site_builder.desk.problem_links import problem_links
from site_builder.desk.transfers.choices import SEEN_FROM, pick_groups, place_choices
from site_builder.desk.transfers.kinds import TRANSFER_KINDS, AskedTransfer, TransferKind, transfers_for
from site_builder.pages.cards import card
from site_builder.pages.edition import Edition
from site_builder.text.wording import count_of
from site_builder.views.parts import Card


@dataclass(frozen=True, slots=True)
class ShownChange:
    """The change of one quilt."""

    card: Card
    sentence: str
    checks: str


@dataclass(frozen=True, slots=True)
class AskedFields:
    """The fields besides the quilts, as they were filled in, and error messages by field."""

    on: str
    through: str
    to: str
    place: str
    letter: str
    note: str
    faults: dict[str, str]


class TransferPage(DeskForm):
    """One kind of transfer. With `show` in the address it shows what would change; sending that form records it."""

    async def get(self, name: str) -> None:
        kind = _kind(name)
        reading = await self.reading()
        given = Answers({key: self.get_query_arguments(key, strip=False) for key in self.request.query_arguments}, {})
        fields = _fields(given, self.desk.today().isoformat())
        chosen = tuple(dict.fromkeys(given.all("quilt")))
        places = _places(given)
        if given.one("show"):
            fields.faults.update(_lacking(kind, fields, chosen, places))
            if not fields.faults:
                await self._show_change(kind, reading, fields, chosen, places)
                return
        await self._show_choice(kind, reading, fields, chosen)

    async def take(self, answers: Answers) -> None:
        kind = _kind(self.path_args[0])
        reading = await self.reading()
        fields = _fields(answers, self.desk.today().isoformat())
        chosen, places = tuple(dict.fromkeys(answers.all("quilt"))), _places(answers)
        fields.faults.update(_lacking(kind, fields, chosen, places))
        if fields.faults:
            await self._show_choice(kind, reading, fields, chosen)
            return
        asked = _asked(fields, chosen, places)
        recorded: list[Transfers] = []

        def prepare() -> tuple[FileChanges, LogEntry]:
            reading = self.desk.read_now()
            transfers = _compute(kind, reading, asked)
            if transfers.refusals:
                raise CollectionProblems(transfers.refusals)
            unfit, _ = _judged(reading.collection, asked, self.desk.today())
            if unfit or _digest_of(transfers, reading.collection) != answers.one("seen"):
                raise ChangedMeanwhile
            recorded.append(transfers)
            return file_changes(reading.collection, transfers), log_entry_of_transfers(transfers, reading.collection)

        try:
            build = await self.desk.write(prepare)
        except (ChangedMeanwhile, CollectionProblems):
            reading = await self.reading()
            await self._show_change(kind, reading, fields, asked.quilts, asked.places, again=True)
            return
        moved = [change.quilt.id for change in recorded[0].changes]
        to = f"/binder/quilts/{moved[0]}.html" if len(moved) == 1 else kind.leads_to
        sheet = moved[0] if kind.name == "hand-over" else None
        self.to_built(build, to, "moved", sheet=sheet)

    async def _show_choice(
        self, kind: TransferKind, reading: Reading, fields: AskedFields, chosen: tuple[str, ...]
    ) -> None:
        edition = await self.desk.edition(reading.collection)
        partners = sorted(reading.collection.partners.values(), key=lambda each: each.name.casefold())
        await self.show(
            "move.html", kind.title,
            
            kind=kind, fields=fields,
            groups=pick_groups(edition, kind.may(reading), chosen),
            go_betweens=[each for each in partners if each.kind == "go-between"],
            charities=[each for each in partners if each.kind == "charity"],
            places=place_choices(reading.collection, self.desk.today()) if "place" in kind.asks else (),
        )  # fmt: skip

    async def _show_change(
        self, kind: TransferKind, reading: Reading, fields: AskedFields, chosen: tuple[str, ...],
        places: tuple[Assignment, ...], *, again: bool = False,
    ) -> None:  # fmt: skip
        asked = _asked(fields, chosen, places)
        transfers = _compute(kind, reading, asked)
        edition = await self.desk.edition(reading.collection)
        unfit, checks = _judged(reading.collection, asked, self.desk.today())
        promised = {each.request: reading.collection.requests.get(each.request) for each in asked.assignments}
        passed = days_passed(filter(None, promised.values()), asked.on.exact_day or self.desk.today())
        await self.show(
            "move_shown.html", kind.title,
            kind=kind, fields=fields, asked=asked, again=again, unfit=unfit,
            refusals=problem_links(transfers.refusals, reading),
            minds=reminders_of_transfers(reading.collection, transfers.changes),
            passed=[f"What {partner_name(reading.collection.requests[each.request].partner, reading.collection.partners)} asked for {each.say()}." for each in passed],
            changes=[_shown(edition, change, checks.get(change.quilt.id, "")) for change in transfers.changes],
            count=count_of(len(transfers.changes), "quilt"),
            seen=_digest_of(transfers, reading.collection),
            back=f"/desk/move/{kind.name}?{_query_without_show(self.request.query)}",
        )  # fmt: skip


class ChangedMeanwhile(Exception):
    """What would be recorded now differs from what was shown."""


class WherePage(DeskPage):
    """The transfers that one quilt can have now."""

    async def get(self, quilt_id: str) -> None:
        reading = await self.reading()
        quilt = reading.collection.quilts.get(quilt_id)
        if quilt is None:
            raise HTTPError(404)
        edition = await self.desk.edition(reading.collection)
        standing = format_state(quilt.destination, reading.collection.partners)
        await self.show(
            "where.html", f"Where {quilt.title} goes",
            quilt=quilt, standing=standing, kinds=transfers_for(reading, quilt_id),
            card=card(edition, quilt, seen_from="desk/where/x"),
        )  # fmt: skip


# What was asked ---------------------------------------------------------------------------------


def _kind(name: str) -> TransferKind:
    if name not in TRANSFER_KINDS:
        raise HTTPError(404)
    return TRANSFER_KINDS[name]


def _fields(given: Answers, today: str) -> AskedFields:
    on = given.one("on").strip() if "on" in given.words else today
    faults = {}
    try:
        EdtfDate.parse(on)
    except ValueError as error:
        faults["on"] = str(error)
    words = {name: given.one(name).strip() for name in ("through", "to", "place", "letter", "note")}
    return AskedFields(on=on, faults=faults, **words)


def _lacking(
    kind: TransferKind, fields: AskedFields, chosen: tuple[str, ...], places: tuple[Assignment, ...]
) -> dict[str, str]:
    """Error messages, by field, for what is missing before the change can be shown."""
    faults = {}
    if not chosen and not places:
        faults["quilt"] = "Choose at least one quilt."
    if "place" in kind.asks and chosen and not fields.place:
        faults["place"] = "Choose the line of a request that they are for."
    return faults


def _places(given: Answers) -> tuple[Assignment, ...]:
    """The quilts that were ticked with a line each: `quilt request line`."""
    parts = (value.split(" ") for value in given.all("assigned"))
    return tuple(Assignment(*each) for each in parts if len(each) == 3)


def _asked(fields: AskedFields, quilts: tuple[str, ...], places: tuple[Assignment, ...]) -> AskedTransfer:
    request, _, line = fields.place.partition(" ")
    return AskedTransfer(
        quilts=quilts,
        on=EdtfDate.parse(fields.on),
        through=fields.through or None,
        to=fields.to or None,
        place=(request, line) if request and line else None,
        places=places,
        letter=fields.letter or None,
        note=fields.note or None,
    )


def _query_without_show(query: str) -> str:
    return "&".join(part for part in query.split("&") if not part.startswith("show="))


# What would change ------------------------------------------------------------------------------


def _compute(kind: TransferKind, reading: Reading, asked: AskedTransfer) -> Transfers:
    return kind.compute(reading, asked)


def _digest_of(transfers: Transfers, collection: Collection) -> str:
    """A digest of the changes, to make sure that what was shown is what is recorded."""
    said = "\n".join(f"{change.quilt.id} {change.say(collection)} {change.written}" for change in transfers.changes)
    return hashlib.sha256(said.encode()).hexdigest()


def _shown(edition: Edition, change: Change, checks: str) -> ShownChange:
    sentence = change.say(edition.collection).removeprefix(f"{change.quilt.title}: ")
    before, _, after = sentence.partition(" -> ")
    words = f"{before[:1].upper()}{before[1:]}; now {after}."
    return ShownChange(card(edition, change.quilt, seen_from=SEEN_FROM), words, checks)


def _judged(collection: Collection, asked: AskedTransfer, today: date) -> tuple[list[str], dict[str, str]]:
    """For promises: sentences on quilts that do not fit their line, and what to check first, by quilt."""
    unfit, checks = [], {}
    for quilt_id, request_id, line_id in asked.assignments:
        quilt, request = collection.quilts.get(quilt_id), collection.requests.get(request_id)
        line = request.line(line_id) if request else None
        if quilt is None or request is None or line is None:
            continue
        judgement = requirements_of(collection, request, line).judge(quilt, asked.on.exact_day or today)
        if judgement.misses:
            unfit.append(f"{quilt.title} does not fit: {judgement.because}.")
        checks[quilt_id] = checks_in_short(check for check in judgement.checks if check.field != "needed_by")
    return unfit, checks
