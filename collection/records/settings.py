"""The settings of the whole collection, in collection.yaml."""

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema, field_validator, model_validator

from collection.problems import choices
from collection.quotes import quoted
from collection.records.fields import (
    ANY_CASE,
    ONE_IS_A_LIST,
    WORDS_IN_A_ROW,
    DateField,
    LengthField,
    Line,
    MoneyField,
    RangeField,
    Record,
    SiteAddress,
    SizeField,
    Text,
    Word,
    from_short_form,
)
from collection.records.household import NOT_SAID, Household
from collection.records.public_fields import FACTS
from collection.sizes.tables import OWN_SOURCE, Mattress, SizeBox, mattress_table, size_table
from collection.values.currencies import DECIMALS
from collection.values.lengths import Length


class Maker(Record):
    """Who made the quilts, as the catalogue names her."""

    name: Line | None = Field(None, description="The name to publish.")
    place: Line | None = Field(None, description="As much of the place as may be published.")
    address: Text | None = Field(None, description="The home address: for sheets that ask for it. Private.")


class SizeRow(Record):
    """One row of the size table."""

    name: Line = Field(description="The category's name, such as lap.")
    shorter_side: RangeField = Field(description="The shorter side, such as 36 to 52.")
    longer_side: RangeField = Field(description="The longer side, such as 36 to 52.")


class MattressRow(Record):
    """A bed to show sizes on."""

    name: Line = Field(description="Its name, such as twin (US).")
    size: SizeField = Field(description="Width x length of the mattress.")


_REGIONS = {region.lower(): region for region in ("US", "UK", "Euro")}

Region = Annotated[
    Literal["US", "UK", "Euro"],
    BeforeValidator(lambda value: _REGIONS.get(value.lower(), value) if isinstance(value, str) else value),
]


class SizeTable(Record):
    """Size categories and mattresses of the maker's own."""

    replace: bool = Field(False, description="true: only these; false: beside the usual ones.")
    categories: Annotated[tuple[SizeRow, ...], ONE_IS_A_LIST] = Field((), description="Size categories of your own.")
    mattresses: Annotated[tuple[MattressRow, ...], ONE_IS_A_LIST] = Field(
        (), description="Mattresses to show sizes on."
    )
    beds: Annotated[tuple[Region, ...], ONE_IS_A_LIST] | None = Field(
        None, description="Whose beds to show sizes on: US, UK, Euro. Left out: by the units."
    )

    @model_validator(mode="after")
    def _no_row_stands_twice(self) -> "SizeTable":
        self.boxes()
        self._mattresses()
        return self

    def boxes(self) -> tuple[SizeBox, ...]:
        """The size categories of this collection."""
        own = (SizeBox.of_the_maker(row.name, row.shorter_side, row.longer_side) for row in self.categories)
        return size_table(own, replace=self.replace)

    def beds_shown(self, units: str) -> tuple[Mattress, ...]:
        """The mattresses to show sizes on: those of the chosen regions, and all of the maker's own."""
        regions = self.beds or (("US",) if units == "in" else ("UK", "Euro"))
        return tuple(bed for bed in self._mattresses() if bed.region in regions or bed.source == OWN_SOURCE)

    def _mattresses(self) -> tuple[Mattress, ...]:
        own = (Mattress.of_the_maker(row.name, row.size) for row in self.mattresses)
        return mattress_table(own, replace=self.replace and bool(self.mattresses))


class PackagePrice(Record):
    """What a package of batting costs."""

    size: Annotated[Literal["craft", "crib", "throw", "twin", "full", "queen", "king"], ANY_CASE] = Field(
        description="The package: craft, crib, throw, twin, full, queen, king."
    )
    price: MoneyField = Field(description="What one costs.")


class Prices(Record):
    """What materials cost, to estimate what was not written down; per yard, or per metre where units are cm."""

    top: MoneyField | None = Field(None, description="Cloth for tops, per yard or metre.")
    backing: MoneyField | None = Field(None, description="Cloth for backings, per yard or metre.")
    binding: MoneyField | None = Field(None, description="Cloth for bindings, per yard or metre.")
    batting: MoneyField | None = Field(None, description="Batting off the roll, per yard or metre.")
    batting_packages: Annotated[tuple[PackagePrice, ...], ONE_IS_A_LIST] = Field(
        (), description="Batting by the package; used before the roll where one is large enough."
    )
    cloth_width: LengthField | None = Field(
        None, description="Usable width of the cloth. Left out: 40 in, and 42 in for tops."
    )
    backing_width: LengthField | None = Field(None, description="Usable width of wide backing cloth, if you buy that.")
    batting_width: LengthField | None = Field(None, description="Width of the batting on the roll. Left out: 90 in.")
    noted: DateField | None = Field(None, description="When these prices were noted down.")

    @field_validator("cloth_width", "backing_width", "batting_width")
    @classmethod
    def _has_a_width(cls, width: Length | None) -> Length | None:
        if width is not None and not width:
            raise ValueError("Cloth is wider than 0. Write its usable width, such as 40 in.")
        return width

    @field_validator("batting_packages")
    @classmethod
    def _no_package_stands_twice(cls, packages: tuple[PackagePrice, ...]) -> tuple[PackagePrice, ...]:
        for index, package in enumerate(packages):
            if package.size in {before.size for before in packages[:index]}:
                raise ValueError(f"{quoted(package.size)} stands there twice. Keep one price for each package.")
        return packages


def _language(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z]{2,3}(-[A-Za-z0-9]+)*", text):
        raise ValueError(f"{quoted(text)} is no code of a language. Write one such as en, en-US or sv.")
    return text


class Site(Record):
    """What the web site says of itself."""

    url: SiteAddress | None = Field(None, description="Where it will stand: makes the feed and the site map whole.")
    description: Line | None = Field(None, description="A sentence for search engines and previews.")
    language: Annotated[Line, AfterValidator(_language)] = Field(
        "en", description="Language of the maker's own words, such as en or en-US."
    )
    rights: Line | None = Field(None, description="A line on who may use the pictures.")


def _known_fact(fact: str) -> str:
    if fact not in FACTS:
        raise ValueError(f"{quoted(fact)} is not a fact that can go out. {choices(fact, FACTS)}")
    return fact


Fact = Annotated[Word, AfterValidator(_known_fact), WithJsonSchema({"enum": list(FACTS)})]


def currency_code(code: str) -> str:
    """The code of a currency in upper case. Raises ValueError, with a remedy, for anything else."""
    if code.upper() not in DECIMALS:
        raise ValueError(f"{quoted(code)} is not the code of a currency. Write its three letters, such as USD.")
    return code.upper()


def _month_and_day(text: str) -> str:
    match = re.fullmatch(r"(\d\d)-(\d\d)", text, re.ASCII)
    if not match or not (1 <= int(match[1]) <= 12 and 1 <= int(match[2]) <= 28):
        raise ValueError("Write month and day with two figures each, such as 01-01 or 04-06; the day at most 28.")
    return text


class Settings(Record):
    """What holds for the whole collection."""

    title: Line = Field("Quilts", description="The collection's name: the head of every page.")
    maker: Annotated[Maker, from_short_form("name")] = Field(
        Maker.model_construct(), description="Who made the quilts."
    )
    units: Annotated[Literal["in", "cm"], ANY_CASE] = Field(
        "in", description="What bare numbers mean: in or cm. Left out: in."
    )
    currency: Annotated[Line, AfterValidator(currency_code)] | None = Field(
        None, description="Three letters, such as USD, GBP or EUR. Left out, amounts have none."
    )
    giving_year_starts: Annotated[Line, AfterValidator(_month_and_day)] = Field(
        "01-01", description="Month and day on which a giving year begins, such as 01-01 or 04-06."
    )
    tax_notes: Annotated[Literal["us", "none"], ANY_CASE] = Field(
        "none", description="us: add notes on US thresholds to the giving report. Never advice."
    )
    prices: Prices | None = Field(
        None, description="What materials cost, to estimate what was not written down. Private."
    )
    follow_up_after: Annotated[int, Field(ge=1, le=3650)] = Field(
        60, description="Days without word after which a quilt with a go-between is followed up."
    )
    household: Household = Field(
        NOT_SAID, description="What charities ask of the house that quilts come from. Private."
    )
    sizes: SizeTable = Field(SizeTable.model_construct(), description="Size categories and mattresses of your own.")
    public: Annotated[tuple[Fact, ...], WORDS_IN_A_ROW] = Field(
        tuple(FACTS), description="The facts of a quilt that may go out. Left out: all that can."
    )
    site: Site = Field(Site.model_construct(), description="What the web site says of itself.")
