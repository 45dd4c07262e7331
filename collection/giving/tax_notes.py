"""Notes on the thresholds of United States tax law for a year of giving, and on Gift Aid. Information, never advice.

A maker may claim at most what the materials cost, so only recorded costs are compared with the thresholds: no estimate,
no appraisal, no market value, and nothing for time. `RULES` lists what the law asks for, each with its source; notes
on missing facts name the quilts that lack them.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeVar

from collection.giving.arrival import ARRIVED
from collection.giving.donations import FormerGift, Gift, Giving, PersonalGift
from collection.giving.qualification import Qualification, organisation, qualification
from collection.giving.tax_authorities import cited
from collection.giving.years import giving_year, year_bounds, year_label
from collection.records.destinations import Donated
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.settings import Settings
from collection.values.dates import EdtfDate
from collection.values.money import Money

AnyGift = TypeVar("AnyGift", Gift, FormerGift, PersonalGift)

CURRENCY = "USD"
CALENDAR = "01-01"
COMMON_PRACTICE = "common practice, no source"

ACKNOWLEDGED_FROM = Decimal(250)
FORM_ABOVE = Decimal(500)
APPRAISED_ABOVE = Decimal(5000)


@dataclass(frozen=True, slots=True)
class TaxNote:
    """One note: a sentence, the IDs of the quilts that it concerns, and the law or publication it rests on.

    `authority` is empty for plain advice; `RULES` has the source. `key` names the note for programs and tests; `amount`
    is the sum that it is about, if any.
    """

    key: str
    sentence: str
    quilts: tuple[str, ...]
    authority: str
    amount: Money | None = None


@dataclass(frozen=True, slots=True)
class _Rule:
    """A sentence, its source, and the keys of the authorities that it cites (`tax_authorities`)."""

    sentence: str
    source: str
    authorities: tuple[str, ...] = ()

    @property
    def authority(self) -> str:
        return cited(self.authorities)


_PUBLICATION = "seen: Publication 526, as quoted by others"
_BASIS = (
    "seen: NATP, You Make the Call (24 August 2023); Publication 526, Value of Time or Services, as quoted by others; "
    "IRC 170(e)(1)(A) and 1221(a)(3), as quoted in a Tax Court opinion of 2007"
)
_SIMILAR = (
    "seen: 26 U.S.C. 170(f)(11), as printed at slideshare.net/pecva and quoted in T.C. Memo. 2015-71 and 2023-41: property "
    "of the same generic category or type counts together"
)
_FORM = "seen: instructions for Form 8283 (2012, 2014, December 2020, 2021 and 2023)"
_MADE = "seen: note in the instructions for Form 8283 (formsbank.com; unclefed.com, 2003); from memory: it still stands there"
_DELIVERY = (
    "seen: Treas. Reg. 1.170A-1(b), as quoted in a Tax Court opinion of 1997, for delivery to the charity or its agent"
)

RULES: Mapping[str, _Rule] = {
    "advice": _Rule(
        "These notes are information and no advice, and the amounts change from year to year. "
        "Ask the IRS or a licensed tax professional before you claim anything. A law or publication that is marked "
        "as from memory was not read for these notes, only what others say of it.",
        COMMON_PRACTICE,
    ),
    "basis": _Rule(
        "What a maker may claim for a quilt is taken here to be at most what its materials cost, or its market value "
        "where that is less; nothing for time, however much the charity could sell it for.",
        _BASIS,
        ("170(e)(1)(A)", "526, value", "526, not deductible"),
    ),
    "costs": _Rule(
        "The cost of materials takes in cloth, batting, thread and the pattern, and quilting that was paid for, such as "
        "longarm fees; no machine and no hours. Fabric that was received free, or whose cost was deducted before as an "
        "expense, is best left out.",
        "derived: from canvas, paint and frame of an artist (npi5.nmsdev.com, seen); from memory: longarm fees, free and "
        "expensed fabric",
        ("1012", "1016"),
    ),
    "from 2026": _Rule(
        "From 2026, as others report the new law, those who itemize deduct only what is above 0.5 % of their adjusted "
        "gross income; those who don't may deduct gifts of money only, so quilts give them nothing.",
        "seen: plannedgiving.com (January 2026) and shulmanrogers.com, on Public Law 119-21",
        ("119-21",),
    ),
    "other currency": _Rule(
        "The thresholds are in dollars of the United States and these records are not, so nothing is compared with "
        "them here.",
        COMMON_PRACTICE,
    ),
    "currency not set": _Rule(
        "The thresholds are in dollars of the United States, and these records do not say what they count in, so nothing "
        "is compared with them here. Where they are such dollars, name them once as the currency of the collection.",
        COMMON_PRACTICE,
    ),
    "nothing recorded": _Rule(
        "No cost of materials is recorded for a quilt given to a qualified organisation, so there is no amount to "
        "compare with the thresholds.",
        _BASIS,
        ("170(e)(1)(A)",),
    ),
    "counted": _Rule(
        "Recorded for materials of quilts given to qualified organisations: {amount}. This amount alone is compared "
        "with the thresholds.",
        _BASIS,
        ("170(e)(1)(A)",),
    ),
    "cost missing": _Rule(
        "No cost of materials is recorded for these, so they count for nothing here. An estimate does not count: "
        "without receipts a cost is hard to show.",
        "seen: quiltcentric.com (2013), on what a tax institute says",
        ("526, records",),
    ),
    "receipt missing": _Rule(
        "The cost of these is recorded without receipts. Name the receipt of each thing bought where there is one.",
        "seen: quiltcentric.com (2013), on what a tax institute says",
        ("526, records",),
    ),
    "acknowledgement": _Rule(
        "A gift for which $250 or more is claimed asks for the charity's written acknowledgement; what one organisation "
        "received on one day is taken for one gift here: {gifts}. The letter names the organisation, describes the gift "
        "but not its value, and says whether anything was given in return. It must be in hand when you file, and by the "
        "due date of the return, with extensions, if that is earlier.",
        "seen: 26 U.S.C. 170(f)(8) at law.cornell.edu; irs.gov, Charitable contributions: written acknowledgments; "
        "Publication 526 (2022); derived: a day's delivery is one gift",
        ("170(f)(8)",),
    ),
    "acknowledgement missing": _Rule(
        "No such acknowledgement is recorded for these.",
        "seen: irs.gov, Charitable contributions: written acknowledgments",
        ("170(f)(8)",),
    ),
    "over 500": _Rule(
        "{amount} is more than $500. Quilts are similar items, which count together whichever charities they went to: "
        "Form 8283, Section A, is asked for. For an item for which more than $500 is claimed it asks when you finished "
        "it, how you came by it and what its materials cost; for one of $500 or less these three may perhaps be left out.",
        f"{_FORM}; {_SIMILAR}; {_MADE}",
        ("170(f)(11)", "form", "form, small items"),
    ),
    "not over 500": _Rule(
        "{amount} is not more than $500, so for the quilts alone Form 8283 is not asked for. With other things that you "
        "gave in the year it may be: the form itself is headed for all of them.",
        f"{_FORM}; {_SIMILAR}; seen: heading of the form (December 2005)",
        ("170(f)(11)", "form"),
    ),
    "date missing": _Rule(
        "More than $500 may be claimed for each of these, and when they were finished is not recorded: Form 8283 asks "
        "for it.",
        _MADE,
        ("form", "form, small items"),
    ),
    "over 5000": _Rule(
        "{amount} is more than $5,000 for similar items, which count together whichever charities they went to: "
        "Form 8283, Section B, which the charity signs too, and a qualified appraisal are asked for.",
        f"{_PUBLICATION}; Publication 526 (2022); {_SIMILAR}; bakerstarrett.blog, on similar items",
        ("170(f)(11)", "526, over 5000", "form"),
    ),
    "appraisal missing": _Rule(
        "No appraisal is recorded for these. One appraisal may cover all similar items given in a year.",
        "seen: instructions for Form 8283, Appraisal Requirements (formsbank.com)",
        ("170(f)(11)", "form"),
    ),
    "day missing": _Rule(
        "The very day on which these were delivered is not recorded; keep it with your records.",
        _PUBLICATION,
        ("526, records",),
    ),
    "address missing": _Rule(
        "The address of the charity is not recorded for these; your records should name it.",
        f"{_PUBLICATION}; tools.nebraskataxaide.org",
        ("526, records",),
    ),
    "size missing": _Rule(
        "A gift is described in some detail, and the size of these is not recorded.",
        f"{_PUBLICATION}; tools.nebraskataxaide.org",
        ("526, records",),
    ),
    "condition": _Rule(
        "Household linens must be in good used condition or better, unless more than $500 is claimed for a single one "
        "and a qualified appraisal goes with the return; these are recorded as fair or worn.",
        "seen: 26 U.S.C. 170(f)(16) at law.cornell.edu; 26 CFR 1.170A-18",
        ("170(f)(16)", "526, household items"),
    ),
    "year not certain": _Rule(
        "These may have been delivered in {year}, but the date is not known exactly enough, so they count in no year.",
        f"{_DELIVERY}; derived: a gift counts in the year of its delivery",
        ("170A-1(b)",),
    ),
    "not delivered": _Rule(
        "These left the house in {year} and have not reached a charity yet: a gift is taken to count when the charity "
        "or its agent has it.",
        _DELIVERY,
        ("170A-1(b)",),
    ),
    "came back": _Rule(
        "These had reached a charity in {year} and came back, so they count for nothing here. If you have claimed for "
        "them already, ask what is to be done.",
        "from memory: what comes back may have to be put right",
        ("111",),
    ),
    "qualification not known": _Rule(
        "Nobody has recorded whether the organisation is a qualified one, so these count for nothing here. Look it "
        "up in the Tax Exempt Organization Search of the IRS.",
        _PUBLICATION,
        ("170(c)", "526, not deductible"),
    ),
    "not qualified": _Rule(
        "These went to an organisation that is not a qualified one, and count for nothing here.",
        _PUBLICATION,
        ("170(c)", "526, not deductible"),
    ),
    "abroad": _Rule(
        "These went to an organisation abroad, and count for nothing here. Ask before you claim any of it.",
        _PUBLICATION,
        ("170(c)(2)(A)", "526, not deductible"),
    ),
    "nobody named": _Rule(
        "Which charity these went to is not recorded, so they count for nothing here.",
        _PUBLICATION,
        ("526, records",),
    ),
    "set aside": _Rule(
        "These were given to a charity but set aside for one person: that is taken for a gift to the person, and counts "
        "for nothing here.",
        "seen: Publication 526, as quoted by taxact.com (2023) and canbootcamp.blogspot.com; charitylawyerblog.com",
        ("526, deductible", "526, not deductible"),
    ),
    "to people": _Rule(
        "Quilts given to people are no gifts to charity, and count for nothing here.",
        "seen: Publication 526, as quoted by taxact.com (2023) and canbootcamp.blogspot.com",
        ("526, not deductible",),
    ),
    "gift aid": _Rule(
        "Gift Aid is for gifts of money: a quilt that you give does not qualify. If the charity sells it for you, as your "
        "agent, and you then give it the money, that gift may qualify. This is information and no advice: ask the "
        "charity, HMRC or a licensed tax professional.",
        "seen: gov.uk, Charities: detailed guidance notes, chapter 3 (2024); hmrc.gov.uk, Selling goods on behalf of "
        "individuals; charitytaxgroup.org.uk",
        ("Income Tax Act", "HMRC"),
    ),
}


def tax_notes(giving: Giving, year: int, on: date | None = None) -> tuple[TaxNote, ...]:
    """All notes on a calendar year, the most general first, if the settings ask for them (`tax_notes: us`).

    A note on Gift Aid is added if the currency is pounds and the maker did not write `tax_notes: none`. The tax year is
    the calendar year: the notes on any other giving year are on the calendar year in which it begins, so that each
    calendar year is in one report. `on` is the day as of which `giving` is, if any.
    """
    settings = giving.collection.settings
    us_notes = _Notes(giving, year, on).all() if settings.tax_notes == "us" else ()
    gift_aid = RULES["gift aid"]
    wants_none = settings.tax_notes == "none" and "tax_notes" in settings.model_fields_set
    british = (
        [TaxNote("gift aid", gift_aid.sentence, (), gift_aid.authority)]
        if settings.currency == "GBP" and not wants_none
        else []
    )
    return (*us_notes, *british)


def notes_heading(settings: Settings) -> str:
    return "Notes on United States tax" if settings.tax_notes == "us" else "A note on Gift Aid"


class _Notes:
    """The gifts of one calendar year, and the notes on them."""

    def __init__(self, giving: Giving, year: int, on: date | None):
        self.year = year
        self.on = on
        self.giving = giving
        self.settings = giving.collection.settings
        self.partners = giving.collection.partners
        delivered = [gift for gift in giving.gifts if gift.arrived and giving_year(gift.arrived_on, CALENDAR) == year]
        self.set_aside = [gift for gift in delivered if gift.donation.set_aside_for]
        self.by_qualification: dict[Qualification, list[Gift]] = {}
        for gift in delivered:
            if not gift.donation.set_aside_for:
                self.by_qualification.setdefault(qualification(gift.donation, self.partners), []).append(gift)
        self.qualified = self.by_qualification.get("qualified", [])
        self.counted = [gift for gift in self.qualified if gift.materials is not None]

    def all(self) -> Iterator[TaxNote]:
        yield self._note("advice")
        yield from self._calendar_year()
        yield self._note("basis")
        yield self._note("costs")
        if self.year >= 2026:
            yield self._note("from 2026")
        yield from self._amounts()
        yield from self._lacking()
        yield from self._left_out()

    # What counts --------------------------------------------------------------------------------

    def _calendar_year(self) -> Iterator[TaxNote]:
        starts = self.settings.giving_year_starts
        if starts != CALENDAR:
            sentence = (
                f"The tax year is the calendar year: these notes are on January to December {self.year}, "
                f"and not on the giving year {year_label(self.year, starts)}."
            )
            yield TaxNote("calendar year", sentence, (), "")

    def _amounts(self) -> Iterator[TaxNote]:
        if self.settings.currency != CURRENCY:
            yield self._note("other currency" if self.settings.currency else "currency not set")
            return
        if not self.counted:
            yield self._note("nothing recorded")
            return
        amount = _sum(self.counted)
        yield self._note("counted", self.counted, amount)
        yield from self._acknowledgements()
        if amount.amount <= FORM_ABOVE:
            yield self._note("not over 500", self.counted, amount)
            return
        yield self._note("over 500", self.counted, amount)
        yield from self._where("date missing", self.counted, lambda gift: _lacks_its_date(gift.quilt))
        if amount.amount > APPRAISED_ABOVE:
            yield self._note("over 5000", self.counted, amount)
            yield from self._where("appraisal missing", self.counted, lambda gift: gift.quilt.appraisal is None)

    def _acknowledgements(self) -> Iterator[TaxNote]:
        """Notes on what one organisation received on one day; equal recorded dates count as one day."""
        together: dict[tuple[str, EdtfDate | None], list[Gift]] = {}
        for gift in self.counted:
            together.setdefault((organisation(self._charity(gift), self.partners), _day(gift)), []).append(gift)
        large = [gifts for gifts in together.values() if _sum(gifts).amount >= ACKNOWLEDGED_FROM]
        if not large:
            return
        listed = "; ".join(
            f"{self._charity(gifts[0]).name}, {day.say() if (day := _day(gifts[0])) else ''}, {_sum(gifts).say()}"
            for gifts in large
        )
        gifts = [gift for gifts in large for gift in gifts]
        yield self._note("acknowledgement", gifts, listed=listed)
        yield from self._where("acknowledgement missing", gifts, lambda gift: gift.state != "acknowledged")

    def _charity(self, gift: Gift) -> Partner:
        return self.partners[gift.donation.to or ""]

    # What the records lack ----------------------------------------------------------------------

    def _lacking(self) -> Iterator[TaxNote]:
        lacks: dict[str, Callable[[Gift], bool]] = {
            "cost missing": lambda gift: gift.materials is None,
            "receipt missing": lambda gift: gift.materials is not None and _lacks_a_receipt(gift.quilt),
            "day missing": lambda gift: gift.arrived_on is None or gift.arrived_on.exact_day is None,
            "address missing": lambda gift: not _address(self._charity(gift)),
            "size missing": lambda gift: gift.quilt.finished_size is None,
            "condition": lambda gift: gift.quilt.condition in ("fair", "worn"),
        }
        for key, is_so in lacks.items():
            yield from self._where(key, self.qualified, is_so)
        yield from self._where("year not certain", self.giving.gifts, self._may_lie_in_the_year)
        yield from self._where("not delivered", self.giving.gifts, self._was_under_way)
        yield from self._where("came back", self.giving.former, self._came_back)

    def _may_lie_in_the_year(self, gift: Gift) -> bool:
        if not gift.arrived or giving_year(gift.arrived_on, CALENDAR) is not None:
            return False
        return self.giving.may_have_arrived_in(gift, *year_bounds(self.year, CALENDAR), on=self.on)

    def _was_under_way(self, gift: Gift) -> bool:
        return gift.state == "on its way" and giving_year(gift.left, CALENDAR) == self.year

    def _came_back(self, former: FormerGift) -> bool:
        if not isinstance(former.way, Donated) or former.state not in ARRIVED:
            return False
        return giving_year(former.began_on, CALENDAR) == self.year

    # What counts for nothing --------------------------------------------------------------------

    def _left_out(self) -> Iterator[TaxNote]:
        kinds: dict[Qualification, str] = {
            "not known": "qualification not known",
            "not qualified": "not qualified",
            "abroad": "abroad",
            "nobody named": "nobody named",
        }
        for kind, key in kinds.items():
            if kind in self.by_qualification:
                yield self._note(key, self.by_qualification[kind])
        if self.set_aside:
            yield self._note("set aside", self.set_aside)
        yield from self._where("to people", self.giving.to_people, self._went_to_a_person)

    def _went_to_a_person(self, gift: PersonalGift) -> bool:
        return not gift.is_planned and giving_year(gift.given_on, CALENDAR) == self.year

    # Notes --------------------------------------------------------------------------------------

    def _where(self, key: str, gifts: Iterable[AnyGift], is_so: Callable[[AnyGift], bool]) -> Iterator[TaxNote]:
        found = [gift for gift in gifts if is_so(gift)]
        if found:
            yield self._note(key, found)

    def _note(
        self, key: str, gifts: Iterable[AnyGift] = (), amount: Money | None = None, *, listed: str = ""
    ) -> TaxNote:
        rule = RULES[key]
        # One pass of `format`: braces in a record are never placeholders.
        sentence = rule.sentence.format(amount=amount.say() if amount else "", gifts=listed, year=self.year)
        # Each quilt once, though it may have come back twice.
        return TaxNote(key, sentence, tuple(dict.fromkeys(gift.quilt.id for gift in gifts)), rule.authority, amount)


def _sum(gifts: Iterable[Gift]) -> Money:
    return sum((gift.materials for gift in gifts if gift.materials is not None), Money.nothing(CURRENCY))


def _day(gift: Gift) -> EdtfDate | None:
    """The exact day of arrival if known, else the recorded date, else the narrowed one."""
    exact = gift.arrived_on is not None and gift.arrived_on.exact_day is not None
    return gift.arrived_on if exact else gift.delivered or gift.arrived_on


def _lacks_its_date(quilt: Quilt) -> bool:
    """Whether Form 8283 asks when it was made, which is not recorded; not asked for items of $500 or less."""
    cost = quilt.materials_cost
    return quilt.made is None and cost is not None and cost.total.amount > FORM_ABOVE


def _lacks_a_receipt(quilt: Quilt) -> bool:
    items = quilt.materials_cost.items if quilt.materials_cost else ()
    return not items or any(item.receipt is None for item in items)


def _address(partner: Partner) -> str | None:
    return partner.contact.address if partner.contact else None
