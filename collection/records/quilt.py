"""The record of a quilt. Its title alone is enough."""

import re
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, WithJsonSchema, field_validator, model_validator

from collection.records.destinations import STATES, UNDECIDED, WORDS, Destination, is_in_the_house
from collection.records.fields import (
    ANY_CASE,
    ONE_IS_A_LIST,
    DateField,
    Identified,
    LengthField,
    Line,
    MoneyField,
    PhotoPath,
    ReadBy,
    Record,
    SizeField,
    Text,
    Texts,
    WebAddress,
    Word,
    Words,
    from_short_form,
)
from collection.records.household import Household
from collection.values.dates import EdtfDate
from collection.values.lengths import Length
from collection.values.money import Money

Stage = Annotated[Literal["piecing", "quilting", "binding", "finished"], ANY_CASE]
Condition = Annotated[Literal["new", "good", "fair", "worn"], ANY_CASE]
PhotoShows = Annotated[
    Literal["front", "back", "label", "detail", "folded", "in use", "in progress", "damage", "scale"], ANY_CASE
]
PatternSource = Annotated[
    Literal[
        "book",
        "magazine",
        "leaflet",
        "download",
        "class",
        "sew-along",
        "block of the month",
        "kit",
        "traditional",
        "own design",
    ],
    ANY_CASE,
]
Way = Annotated[Literal["hand", "domestic machine", "longarm", "tied"], ANY_CASE]


class Grid(Record):
    """Blocks across and blocks down."""

    columns: int
    rows: int

    def __str__(self) -> str:
        return f"{self.columns} x {self.rows}"


def _read_grid(value: object, info: ValidationInfo) -> Grid:
    if isinstance(value, Grid):
        return value
    pattern = r"\s*([1-9]\d{0,2})\s*(?:x|×|by)\s*([1-9]\d{0,2})\s*"
    match = re.fullmatch(pattern, value, re.ASCII | re.IGNORECASE) if isinstance(value, str) else None
    if not match:
        raise ValueError("Write how many blocks across and how many down, such as 4 x 5.")
    return Grid(columns=int(match[1]), rows=int(match[2]))


class BlockSetting(Record):
    """How the blocks are set: what gives the computed size, the cutting sizes and the diagram."""

    blocks: Annotated[Grid, ReadBy(_read_grid), WithJsonSchema({"type": "string", "examples": ["4 x 5"]})] = Field(
        description="Blocks across x blocks down."
    )
    block: LengthField = Field(description="The finished side of a block.")
    arrangement: Annotated[Literal["straight", "on point"], ANY_CASE] | None = Field(
        None, description="Straight or on point. Left out: taken as straight."
    )
    sashing: LengthField = Field(
        Length(Fraction(0)), description="Finished width of the strips between blocks; 0 for none."
    )
    cornerstones: bool = Field(False, description="Are there squares where sashes cross?")
    outer_sashing: bool = Field(False, description="Does sashing also run round the outside?")
    borders: Annotated[tuple[LengthField, ...], ONE_IS_A_LIST] = Field(
        (), description="Finished widths, the innermost first."
    )

    @field_validator("block")
    @classmethod
    def _has_a_side(cls, block: Length) -> Length:
        if not block:
            raise ValueError("A block needs a side longer than 0.")
        return block

    @field_validator("cornerstones", "outer_sashing")
    @classmethod
    def _needs_sashing(cls, wanted: bool, info: ValidationInfo) -> bool:
        if wanted and info.data.get("sashing") == Length(Fraction(0)):
            raise ValueError("This goes with sashing, and there is none. Write its width under sashing, or false here.")
        return wanted


class Photo(Record):
    """One picture of the quilt. The first that may go out is its cover."""

    file: PhotoPath = Field(description="The file, from the photos folder on.")
    shows: PhotoShows | None = Field(None, description="What it is a picture of.")
    caption: Line | None = Field(None, description="A line beneath it.")
    public: bool = Field(True, description="May it go on the web site?")


class Pattern(Record):
    """Where the design comes from."""

    name: Line | None = Field(None, description="The pattern's name.")
    designer: Line | None = Field(None, description="Who drew the pattern.")
    source: PatternSource | None = Field(None, description="How it was come by.")
    published_in: Line | None = Field(None, description="The book, or the magazine and its issue.")
    published: DateField | None = Field(None, description="When it was published.")
    url: WebAddress | None = Field(None, description="The pattern's page.")


class FabricLine(Record):
    """Prints issued together."""

    name: Line = Field(description="The line's name.")
    maker: Line | None = Field(None, description="The maker of the cloth.")
    designer: Line | None = Field(None, description="Who drew the prints.")
    year: DateField | None = Field(None, description="When it came out.")


class Quilting(Record):
    """Who quilted it, and how."""

    by: Line | None = Field(None, description="Who quilted it, if not the maker.")
    how: Way | None = Field(None, description="By hand, on a domestic machine, on a longarm, or tied.")


class Fibre(Record):
    """What the layers are made of."""

    top: Word | None = Field(None, description="What the top is made of.")
    backing: Word | None = Field(None, description="What the backing is made of.")
    batting: Word | None = Field(None, description="What the batting is made of.")


def _read_washed(value: object, info: ValidationInfo) -> bool | EdtfDate:
    if isinstance(value, bool | EdtfDate):
        return value
    if isinstance(value, str):
        word = value.strip().lower()
        if word in ("yes", "no"):
            return word == "yes"
        try:
            return EdtfDate.parse(value)
        except ValueError as error:
            raise ValueError(f"{error} Or write true or false.") from error
    raise ValueError("Write true, false, or when it was washed, such as 2026-03.")


class Care(Record):
    """What was done so that it can be used and travel."""

    washed: (
        Annotated[
            bool | EdtfDate,
            ReadBy(_read_washed),
            WithJsonSchema({"type": ["boolean", "string", "number"], "examples": ["2026-03"]}),
        ]
        | None
    ) = Field(None, description="true, false, or when it was last washed.")
    label: bool | None = Field(None, description="Is a label sewn on?")
    sleeve: bool | None = Field(None, description="Has it a hanging sleeve?")


class Cost(Record):
    """One thing bought for a quilt."""

    what: Line = Field(description="What was bought.")
    amount: MoneyField = Field(description="What it cost.")
    receipt: Line | None = Field(None, description="The receipt's file or number.")


class MaterialsCost(Record):
    """What the materials cost, as one amount or item by item; nothing for time."""

    amount: MoneyField | None = Field(None, description="The whole, where no items are given.")
    items: Annotated[tuple[Cost, ...], ONE_IS_A_LIST] = Field((), description="What was bought, item by item.")

    @model_validator(mode="after")
    def _one_or_the_other(self) -> "MaterialsCost":
        if self.items and self.amount is not None:
            raise ValueError("The items add up by themselves. Keep them, or the one amount, not both.")
        if not self.items and self.amount is None:
            raise ValueError("Write one amount, such as 84.50, or items, each with what and amount.")
        return self

    @property
    def total(self) -> Money:
        """The sum of the items, or the one amount."""
        if self.amount is not None:
            return self.amount
        first, *others = (item.amount for item in self.items)
        return sum(others, start=first)


class Appraisal(Record):
    """A written opinion of value: it holds for its kind and its date only."""

    value: MoneyField = Field(description="What it was found to be worth.")
    kind: Annotated[Literal["fair market", "donation", "insurance replacement"], ANY_CASE] | None = Field(
        None, description="Fair market, donation, or insurance replacement."
    )
    by: Line | None = Field(None, description="Who appraised it.")
    on: DateField | None = Field(None, description="When it was appraised.")


class Loan(Record):
    """Out of the house for a time: a show, a talk, a class."""

    to: Line = Field(description="Who has it, or had it.")
    purpose: Line | None = Field(None, alias="for", description="Exhibition, trunk show, class.")
    start: DateField | None = Field(None, alias="from", description="Since when it is out, or was.")
    due: DateField | None = Field(None, description="When it should be back.")
    back: DateField | None = Field(None, description="When it came back.")
    note: Text | None = Field(None, description="A note for yourself. Private.")


class Quilt(Identified):
    """One finished, or nearly finished, quilt."""

    title: Line = Field(description="What the quilt is called. The one field that must be there.")
    number: Annotated[int, Field(ge=1, le=9_999_999)] | None = Field(
        None, description="Inventory number; no two quilts share one."
    )
    also_called: Texts = Field((), description="Other names that it goes by.")
    public: bool = Field(True, description="false keeps the whole quilt out of the catalogue.")
    made: DateField | None = Field(
        None, description="When it was made, as exactly as is known: 2016, about 2016, 1990s, 2015/2017."
    )
    stage: Stage = Field("finished", description="How far it is: piecing, quilting, binding, finished.")
    ready_by: DateField | None = Field(
        None, description="By when it will be finished, if it is not yet: it can then be matched. Private."
    )
    finished_size: SizeField | None = Field(None, description="Width x length.")
    measured: Annotated[Literal["quilted", "washed"], ANY_CASE] | None = Field(
        None, description="When the size was taken: before the first wash, or after it. Left out: not known."
    )
    setting: BlockSetting | None = Field(None, description="How the blocks are set.")
    photos: Annotated[tuple[Annotated[Photo, from_short_form("file")], ...], ONE_IS_A_LIST] = Field(
        (), description="The pictures; the first is the cover."
    )
    pattern: Annotated[Pattern, from_short_form("name")] | None = Field(
        None, description="Where the design comes from."
    )
    fabric_lines: Annotated[tuple[Annotated[FabricLine, from_short_form("name")], ...], ONE_IS_A_LIST] = Field(
        (), description="The fabric lines it is made of."
    )
    blocks: Words = Field((), description="Traditional names of its blocks.")
    techniques: Words = Field((), description="Pieced, appliqué, foundation piecing, and the like.")
    quilting: Annotated[Quilting, from_short_form("how")] | None = Field(None, description="Who quilted it, and how.")
    fibre: Fibre | None = Field(None, description="What its layers are made of.")
    features: Words = Field(
        (),
        description="Anything a charity may require or refuse: buttons, flannel, tied. "
        "Once written, it is the whole list, but for smoke, pets and scent; [] for none.",
    )
    condition: Condition | None = Field(None, description="New, good, fair, worn.")
    condition_note: Text | None = Field(None, description="What is worn, stained or mended. Private.")
    colours: Words = Field((), description="Its colours in the maker's words; else read from the cover.")
    suits: Words = Field((), description="Who would enjoy it: children, men, a gardener.")
    story: Text | None = Field(None, description="Its story, in Markdown. Public.")
    care: Care | None = Field(None, description="Washed, labelled, sleeve.")
    household: Household | None = Field(
        None,
        description="Where this quilt differs from the household in the settings: made or kept elsewhere. Private.",
    )
    materials_cost: Annotated[MaterialsCost, from_short_form("amount")] | None = Field(
        None, description="What the materials cost. Private."
    )
    appraisal: Annotated[Appraisal, from_short_form("value")] | None = Field(
        None, description="A written appraisal. Private."
    )
    kept_at: Line | None = Field(None, description="Where it lies now. Private.")
    loans: Annotated[tuple[Loan, ...], ONE_IS_A_LIST] = Field(
        (), description="When it was out of the house for a time. Private."
    )
    destination: Destination = Field(
        UNDECIDED,
        description=f"{', '.join(WORDS)}, or {{is: {' | '.join(each for each in STATES if each not in WORDS)}, ...}}.",
    )
    history: Annotated[tuple[Destination, ...], ONE_IS_A_LIST] = Field(
        (), description="Former destinations, the oldest first."
    )
    notes: Text | None = Field(None, description="Private, in Markdown.")

    @property
    def current_loan(self) -> Loan | None:
        """The loan that has not ended; None if there is none."""
        return next((loan for loan in reversed(self.loans) if loan.back is None), None)

    @property
    def in_the_house(self) -> bool:
        """Is the quilt still with the maker, by its destination? Loans are ignored."""
        return is_in_the_house(self.destination)
