"""Records with something of its own in every field, found by walking the models: a new field is
filled without a change here.

What stands in a field is a *marker*: a word, a day, an amount or a length that occurs nowhere else, so
that it can be looked for in whatever is made of the records.
"""

import re
from dataclasses import dataclass, field
from datetime import date, timedelta
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import TypeAdapter, ValidationError

from collection.records.destinations import Donated, Gifted, Lost, Promised, Staying
from collection.records.fields import Identified, Record
from collection.records.quilt import Grid, MaterialsCost
from collection.values.dates import EdtfDate
from collection.values.lengths import MILLIMETRE, Length, LengthRange, Size
from collection.values.money import Money

DESTINATIONS = (Staying, Promised, Gifted, Donated, Lost)

# The second list of what may go out, written by hand beside `collection.privacy`: a field stands
# in both, or it is private.
MAY_GO_OUT = {
    "Settings": {"title", "maker", "units", "giving_year_starts", "sizes", "public", "site"},
    "Maker": {"name", "place"},
    "SizeTable": {"replace", "categories", "mattresses", "beds"},
    "SizeRow": {"name", "shorter_side", "longer_side"},
    "MattressRow": {"name", "size"},
    "Site": {"url", "description", "language", "rights"},
    "Partner": {"id", "name", "public", "url", "about"},
    "Quilt": {
        "id", "title", "number", "also_called", "made", "stage", "finished_size", "measured", "setting",
        "photos", "pattern", "fabric_lines", "blocks", "techniques", "quilting", "fibre", "features",
        "colours", "suits", "story", "care",
    },
    "BlockSetting": {
        "blocks", "block", "arrangement", "sashing", "cornerstones", "outer_sashing", "borders",
    },
    "Grid": {"columns", "rows"},
    "Photo": {"shows", "caption"},
    "Pattern": {"name", "designer", "source", "published_in", "published", "url"},
    "FabricLine": {"name", "maker", "designer", "year"},
    "Quilting": {"by", "how"},
    "Fibre": {"top", "backing", "batting"},
    "Care": {"label", "sleeve"},
}  # fmt: skip


@dataclass(frozen=True)
class Marker:
    """What stands in one field, in all the ways in which a page might say it."""

    place: str
    forms: tuple[str, ...]
    private: bool


@dataclass
class Marking:
    """Fills records, and remembers what stands where."""

    markers: list[Marker] = field(default_factory=list)
    _count: int = 0

    def record(self, model: type[Record], *, private: bool = False, **given: Any) -> dict[str, Any]:
        """A record as its file would have it. `given` are fields that are not to be filled, by the
        names of the file; None leaves one out."""
        data = {}
        for name, info in model.model_fields.items():
            key = info.alias or name
            if key in given:
                data[key] = given[key]
            elif not (name == "id" and issubclass(model, Identified)):
                secret = private or name not in MAY_GO_OUT.get(model.__name__, ())
                place = f"{model.__name__}.{name}"
                data[key] = self._value(_whole_type(info), place, secret, info.default)
        return {key: value for key, value in data.items() if value is not None}

    def word(self, place: str, *, private: bool) -> str:
        """A marker that is a word of its own."""
        self._count += 1
        return self._mark(place, private, f"zqx{self._count:04d}m")

    def _mark(self, place: str, private: bool, *forms: str) -> str:
        self.markers.append(Marker(place, forms, private))
        return forms[0]

    def _value(self, kind: Any, place: str, private: bool, default: object = None) -> Any:
        for plain in _alternatives(kind):
            if plain is Grid:
                return "4 x 5"
            if isinstance(plain, type) and issubclass(plain, Record):
                return self.record(plain, private=private, **({"amount": None} if plain is MaterialsCost else {}))
            if get_origin(plain) is tuple:
                return [self._value(get_args(plain)[0], place, private)]
            if get_origin(plain) is Literal:
                return next((word for word in get_args(plain) if word != default), get_args(plain)[0])
            if plain in (EdtfDate, Money, Length, LengthRange, Size, int):
                return self._measure(plain, kind, place, private)
            if plain is str:
                return self._text(kind, place, private)
        assert bool in _alternatives(kind), f"{place}: nothing is known of how to fill a {kind}"
        return not default

    def _measure(self, plain: type, kind: Any, place: str, private: bool) -> str | int:
        """A day, an amount or a length that occurs nowhere else."""
        self._count += 1
        number = self._count
        if plain is EdtfDate:
            day = EdtfDate((date(1801, 1, 1) + timedelta(days=number)).isoformat())
            return self._mark(place, private, str(day), day.say())
        if plain is Money:
            return self._mark(place, private, f"{7000 + number}.17", f"{7000 + number:,}.17")
        if plain is int:
            fits = next(
                n for n in (9_000_000 + number, 9_000 + number % 1_000, 3_000 + number % 600) if _is_sound(kind, n)
            )
            self._mark(place, private, str(fits), f"{fits:,}")
            return fits
        # Far from what a page reckons out of public lengths, which are short.
        whole = 900 + number // 4 % 100 if private else 4 + number // 4 % 20
        inches = f"{whole} {2 * (number % 4) + 1}/8"
        length = Length.parse(f"{inches} in")
        self._mark(place, private, inches, f"{length.in_cm()} cm", f"{length.in_cm(MILLIMETRE)} cm")
        return {Length: f"{inches} in", LengthRange: f"at least {inches} in"}.get(plain, f"{inches} x {inches} in")

    def _text(self, kind: Any, place: str, private: bool) -> str:
        """The marker itself, or the first form around it that the field takes; else a code or a day
        of the year, of which there are not enough to be markers."""
        self._count += 1
        word = f"zqx{self._count:04d}m"
        forms = (word, f"https://{word}.example/", f"en-{word}", "CHF", "04-06")
        text = next(text for text in forms if _is_sound(kind, text))
        if word in text:
            self._mark(place, private, word)
        return text


def _whole_type(info: Any) -> Any:
    return Annotated[info.annotation, *info.metadata] if info.metadata else info.annotation


def _is_sound(kind: Any, value: object) -> bool:
    try:
        TypeAdapter(kind).validate_python(value)
    except ValidationError:
        return False
    return True


def _alternatives(kind: Any) -> list[Any]:
    """The types that a value may have, without what is said about them; the most telling first."""
    if get_origin(kind) is Annotated:
        return _alternatives(get_args(kind)[0])
    if get_origin(kind) in (Union, UnionType):
        found = [plain for argument in get_args(kind) for plain in _alternatives(argument)]
        return sorted((plain for plain in found if plain is not type(None)), key=lambda plain: plain is bool)
    return [kind]


# Looking for them -------------------------------------------------------------------------------

# Spaces that do not break, and narrow ones: U+00A0, U+2000 to U+200B, U+202F, and what HTML calls them.
_ONE_SPACE = re.compile(rb"\xc2\xa0|\xe2\x80[\x80-\x8b\xaf]|&nbsp;|&#160;|&#xa0;|\s+", re.IGNORECASE)
_WORD = re.compile(rb"zqx[0-9]{4}m", re.IGNORECASE)


def markers_in(content: bytes, markers: list[Marker]) -> set[Marker]:
    """The markers that occur in some bytes, in UTF-8 or UTF-16, with whatever kind of space in them."""
    found = set()
    for text in {_ONE_SPACE.sub(b" ", content), content.replace(b"\0", b"")}:
        words = {match.lower() for match in _WORD.findall(text)}
        found |= {marker for marker in markers if any(_occurs(form.encode(), text, words) for form in marker.forms)}
    return found


def _occurs(form: bytes, text: bytes, words: set[bytes]) -> bool:
    if _WORD.fullmatch(form):
        return form in words
    return form in text and re.search(rb"(?<![0-9a-zA-Z.])" + re.escape(form) + rb"(?![0-9a-zA-Z])", text) is not None
