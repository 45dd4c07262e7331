"""The letter that asks a charity to acknowledge what it received, with a part that it can sign and send back.

It states no value: a written acknowledgement describes what was given, and does not price it.
Source: seen, irs.gov, Charitable contributions: written acknowledgments.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from collection.giving.donations import Gift, Giving
from collection.giving.years import year_label
from collection.records.collection import Collection
from collection.records.partner import Partner
from collection.values.dates import EdtfDate
from site_builder.text.wording import count_of, measured_size, number_words

WANTED = (
    "the name of your organisation and the date of your letter;",
    "what was given: the list above will do. Please state no value for it;",
    (
        "whether anything was given in return: that no goods or services were; or what they were, and in good faith "
        "what they were worth; or that they were intangible religious benefits only."
    ),
)
"""Source: seen, irs.gov, Charitable contributions: written acknowledgments, for gifts of $250 or more."""

RETURNS = (
    "No goods or services were given in return.",
    "In return were given, with what they were worth in good faith:",
    "In return were given intangible religious benefits only.",
)


@dataclass(frozen=True, slots=True)
class ReceivedLine:
    """One quilt that the charity received."""

    id: str
    number: str | None
    title: str
    size: str
    received: str
    through: str | None


@dataclass(frozen=True, slots=True)
class Letter:
    """The letter in words. `wanted` and `returns` are empty where no tax law applies.

    `language` is that of the maker's own words.
    """

    title: str
    date: str
    sender: str
    address: str | None
    recipient: tuple[str, ...]
    greeting: str
    opening: str
    lines: tuple[ReceivedLine, ...]
    asking: str
    wanted: tuple[str, ...]
    closing: str
    received: str
    returns: tuple[str, ...]
    language: str
    foot: str


def gifts_to(
    collection: Collection, charity: Partner, year: int, *, on: date | None = None, acknowledged_too: bool = False
) -> tuple[Gift, ...]:
    """The quilts that a charity received in a giving year, by default without those that it has acknowledged.

    `on` is the day as of which the collection is, if any.
    """
    given = Giving.of(collection, on).report(year).given
    received = (gift for gift in given if gift.donation.to == charity.id)
    return tuple(gift for gift in received if acknowledged_too or gift.state != "acknowledged")


def acknowledgement_letter(
    collection: Collection,
    charity: Partner,
    gifts: Sequence[Gift],
    *,
    year: int,
    on: EdtfDate,
    with_address: bool = False,
) -> Letter:
    """A letter about some gifts, dated `on`; one covers as many as there are."""
    settings = collection.settings
    label = year_label(year, settings.giving_year_starts)
    sender = settings.maker.name or settings.title
    quilts, them = count_of(len(gifts), "quilt"), "it" if len(gifts) == 1 else "them"
    taxed = minds_us_tax(collection, charity)
    return Letter(
        title=f"Quilts received in {label}",
        date=on.say(),
        sender=sender,
        address=settings.maker.address if with_address else None,
        recipient=tuple(_recipient(charity)),
        greeting=f"Dear {charity.contact.person}," if charity.contact and charity.contact.person else "Dear friends,",
        opening=f"In {label} you received {quilts} from me. Thank you for taking {them} in.",
        lines=tuple(_line(collection, gift) for gift in gifts),
        asking=(
            f"May I ask you for a letter that acknowledges {them}? One letter may cover all of a year. It should hold"
            if taxed
            else f"I would be glad of a line to say that {'it has' if len(gifts) == 1 else 'they have'} reached you."
        ),
        wanted=WANTED if taxed else (),
        closing="If it is easier, complete the part below, sign it and send it back.",
        received=f"{charity.name} has received the {'quilt' if len(gifts) == 1 else quilts} listed in this letter.",
        returns=RETURNS if taxed else (),
        language=settings.site.language,
        foot=f"{sender} to {charity.name}, {on.say()}",
    )


def minds_us_tax(collection: Collection, charity: Partner) -> bool:
    """May a letter of this charity be of use for United States tax? Yes where that is not known."""
    return collection.settings.tax_notes == "us" and charity.qualified is not False and not charity.abroad


def _recipient(charity: Partner) -> Iterator[str]:
    yield charity.name
    if charity.contact and charity.contact.address:
        yield charity.contact.address


def _line(collection: Collection, gift: Gift) -> ReceivedLine:
    quilt = gift.quilt
    go_between = collection.partners.get(gift.donation.through or "")
    return ReceivedLine(
        id=quilt.id,
        number=number_words(quilt),
        title=quilt.title,
        size=measured_size(quilt, collection.settings.units),
        received=gift.delivered.say() if gift.delivered else "",
        through=go_between.name if go_between else None,
    )
