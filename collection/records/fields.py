"""The kinds of value that fields hold: each reads the text of a file and refuses with a remedy."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from types import UnionType
from typing import Annotated, Any, Literal
from urllib.parse import urlsplit

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, GetCoreSchemaHandler
from pydantic import GetJsonSchemaHandler, StringConstraints, ValidationInfo, WithJsonSchema, model_validator
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, core_schema

from collection.as_written import as_written
from collection.dates import EdtfDate
from collection.lengths import Length, LengthRange, Size
from collection.money import Money


class Record(BaseModel):
    """What a file, or a part of one, may hold: frozen, and nothing beyond the named fields."""

    # Records that were kept from a former reading need no validator: one is made when the first is asked for.
    model_config = ConfigDict(defer_build=True, frozen=True, extra="forbid", str_strip_whitespace=True)

    @model_validator(mode="before")
    @classmethod
    def _an_empty_field_is_not_known_yet(cls, given: object) -> object:
        """Leave empty fields out; one that is no field at all stays, to be told."""
        if not isinstance(given, dict):
            return given
        known = fields_of(cls)
        return {name: value for name, value in given.items() if value is not None or name not in known}

    def model_post_init(self, _: object) -> None:
        """Have all records that were given the same fields share what says so, which of thousands takes more room
        than the fields themselves."""
        _, names = _given(type(self), self.__pydantic_fields_set__)
        object.__setattr__(self, "__pydantic_fields_set__", names)

    # What is kept of a record is what was given; a part that many have, such as what they are made of, once.

    def __getstate__(self) -> tuple[tuple[str, ...], tuple[Any, ...]]:
        given, _ = _given(type(self), self.model_fields_set)
        values = (self.__dict__[name] for name in given)
        return given, tuple(_one_of_equals(each) if isinstance(each, Record) else each for each in values)

    def __setstate__(self, state: tuple[tuple[str, ...], tuple[Any, ...]]) -> None:
        given, values = state
        object.__setattr__(self, "__dict__", _otherwise(type(self)) | dict(zip(given, values, strict=True)))
        object.__setattr__(self, "__pydantic_fields_set__", _shared(given)[1])
        object.__setattr__(self, "__pydantic_extra__", None)
        object.__setattr__(self, "__pydantic_private__", None)


def _given(kind: type[Record], names: set[str]) -> tuple[tuple[str, ...], set[str]]:
    """The names of the fields that a record was given: in the order of its fields, and in none."""
    return _shared(tuple(name for name in kind.model_fields if name in names))


def _one_of_equals(record: Record) -> Record:
    given, _ = _given(type(record), record.model_fields_set)
    return _first_of_equals(record, given)


@lru_cache(maxsize=4096)
def _first_of_equals(record: Record, given: tuple[str, ...]) -> Record:
    """The first that is equal and was given the same fields."""
    return record


@cache
def _shared(names: tuple[str, ...]) -> tuple[tuple[str, ...], set[str]]:
    return names, set(names)


@cache
def _otherwise(kind: type[Record]) -> dict[str, Any]:
    """The values of fields that a record was not given, in the order of its fields."""
    return {name: None if field.is_required() else field.default for name, field in kind.model_fields.items()}


class Identified(Record):
    """A record with a file of its own, whose name is its ID; the file itself does not repeat it."""

    id: str


@cache
def fields_of(kind: type[BaseModel]) -> dict[str, FieldInfo]:
    """A record's fields by the names that a file uses; an ID that is the file's name is not one."""
    hidden = {"id"} if issubclass(kind, Identified) else set()
    return {
        field.alias or name: field for name, field in kind.model_fields.items() if name not in hidden
    }


# One value --------------------------------------------------------------------------------------


def _written(value: object, what: str) -> str:
    match value:
        case str():
            return value
        case bool():
            raise ValueError(f"{what} is needed here, not true or false.")
        case list():
            raise ValueError(f"{what} is needed here, not a list.")
        case _:
            raise ValueError(f"{what} is needed here, not fields of its own.")


@dataclass(frozen=True)
class ReadBy:
    """Reads a value by a function of what is written and how it is read, and by nothing that its type brings along."""

    function: Callable[[object, ValidationInfo], Any]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.function)


def _read(what: str, parse: Callable[[str, ValidationInfo], Any], kind: type) -> ReadBy:
    return ReadBy(lambda value, info: value if isinstance(value, kind) else parse(_written(value, what), info))


def _units(info: ValidationInfo) -> Literal["in", "cm"]:
    return (info.context or {}).get("units", "in")


def _currency(info: ValidationInfo) -> str | None:
    return (info.context or {}).get("currency")


def _described(examples: list[str], **schema: Any) -> WithJsonSchema:
    return WithJsonSchema({"type": ["string", "number"], "examples": examples, **schema})


# A value that many quilts have is read once, and then is the same one in all of them.
_length, _size, _date = map(lru_cache(maxsize=4096), (Length.parse, Size.parse, EdtfDate.parse))

LengthField = Annotated[
    Length,
    _read("A length", lambda text, info: _length(text, unit=_units(info)), Length),
    _described(["2", "1 1/2 in", "30 cm"]),
]
SizeField = Annotated[
    Size,
    _read("A size, width x length,", lambda text, info: _size(text, unit=_units(info)), Size),
    _described(["60 1/2 x 72 in", "153 x 183 cm"], type="string"),
]
RangeField = Annotated[
    LengthRange,
    _read(
        "A range of lengths", lambda text, info: LengthRange.parse(text, unit=_units(info)), LengthRange
    ),
    _described(["36 to 45", "at least 36", "at most 45"]),
]
DateField = Annotated[
    EdtfDate,
    _read("A date", lambda text, info: _date(text), EdtfDate),
    _described(["2016", "2016~", "2016-05", "2016-05-01", "about 2016", "1990s", "2015/2017"]),
]
MoneyField = Annotated[
    Money,
    _read("An amount", lambda text, info: Money.parse(text, currency=_currency(info)), Money),
    _described(["84.50"]),
]
LONGEST_TEXT = 20_000
Text = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=LONGEST_TEXT),
    # A title such as 1996 is a number to an editor.
    WithJsonSchema({"type": ["string", "number"]}),
]


def _on_one_line(value: str) -> str:
    return " ".join(line.strip() for line in value.splitlines() if line.strip())


Line = Annotated[Text, AfterValidator(_on_one_line)]
"""Text on one line, such as a name: the ends of lines in it are read as spaces."""


def _lower_case(value: object) -> object:
    return value.strip().lower() if isinstance(value, str) else value


ANY_CASE = BeforeValidator(_lower_case)
"""Reads Finished as finished."""

Word = Annotated[Line, ANY_CASE]


def _web_address(value: str) -> str:
    scheme, _, rest = value.partition("://")
    if scheme.lower() not in ("http", "https") or not rest or any(c.isspace() for c in value):
        raise ValueError(f"{as_written(value)} is not a web address: one begins with https:// and has no spaces.")
    return value


WebAddress = Annotated[Text, AfterValidator(_web_address)]


def _site_address(value: str) -> str:
    """Pages name their own places by its path: in one with `//`, a browser would look for another host."""
    try:
        parts = urlsplit(value)
        sound = bool(parts.hostname) and "@" not in parts.netloc
    except ValueError:
        sound = False
    if not sound or "//" in parts.path or "\\" in value or "?" in value or "#" in value:
        raise ValueError(
            f"{as_written(value)} is not the address of a site. Write where the catalogue's first page is, such as "
            "https://example.org/quilts."
        )
    return value


SiteAddress = Annotated[WebAddress, AfterValidator(_site_address)]


def _photo_path(value: object, info: ValidationInfo) -> str:
    written = _written(value, "The name of a photo file").strip()
    text = written.replace("\\", "/")
    parts = text.split("/")
    if text.startswith("/") or ":" in parts[0] or any(part in ("", ".", "..") for part in parts):
        raise ValueError(
            f"{as_written(written)} is no place in the photos folder. Write the photo's name from there on, "
            "such as low-tide/front.jpg."
        )
    return text


PhotoPath = Annotated[
    str,
    ReadBy(_photo_path),
    WithJsonSchema({"type": "string", "examples": ["low-tide/front.jpg"]}),
]


# Short forms ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ShortForm:
    """Lets something simpler stand for a record or a list, in files and in the schemas for editors.

    `expand` makes of what is of the types `of` what is read; `schema_of` makes of the whole's schema the simpler one.
    """

    of: type | UnionType
    expand: Callable[[Any], Any]
    schema_of: Callable[[dict[str, Any]], dict[str, Any]]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self._expanded, handler(source))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        whole = handler(core)
        return {"anyOf": [self.schema_of(handler.resolve_ref_schema(whole)), whole]}

    def _expanded(self, value: object) -> object:
        return self.expand(value) if isinstance(value, self.of) else value


def from_short_form(field: str) -> ShortForm:
    """Where one text stands for the record, it is this field of it (`- low-tide/front.jpg`)."""
    return ShortForm(str, lambda text: {field: text}, lambda record: record["properties"][field])


ONE_IS_A_LIST = ShortForm(str | dict, lambda item: [item], lambda whole: whole["items"])
"""For lists that may be written as their only item: `borders: 5`."""


def _words_in_a_row(text: str) -> list[str]:
    """Of a text that is longer than any, nothing is parted: it is told as one that is too long."""
    words = [word for word in text.split(",") if word.strip()] if len(text) <= LONGEST_TEXT else []
    return words or [text]


WORDS_IN_A_ROW = ShortForm(str, _words_in_a_row, lambda whole: whole["items"])
"""`colours: green, grey` are two words, as none has a comma in it."""

Texts = Annotated[tuple[Line, ...], ONE_IS_A_LIST]
Words = Annotated[tuple[Word, ...], WORDS_IN_A_ROW]
