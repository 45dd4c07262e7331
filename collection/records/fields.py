"""The types of fields: each parses the text of a file, or raises an error with a remedy."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from types import UnionType
from typing import Annotated, Any, Literal
from urllib.parse import unquote, urlsplit

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    StringConstraints,
    ValidationInfo,
    WithJsonSchema,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, core_schema

from collection.quotes import quoted
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, LengthRange, Size
from collection.values.money import Money


class Record(BaseModel):
    """What a file, or a part of one, may hold: frozen, and nothing beyond the named fields."""

    # Cached records need no validator, so it is built only when needed.
    model_config = ConfigDict(defer_build=True, frozen=True, extra="forbid", str_strip_whitespace=True)

    @model_validator(mode="before")
    @classmethod
    def _an_empty_field_is_not_known_yet(cls, given: object) -> object:
        """Remove empty fields, but keep unknown ones, which become problems."""
        if not isinstance(given, dict):
            return given
        known = fields_of(cls)
        return {name: value for name, value in given.items() if value is not None or name not in known}

    def model_post_init(self, _: object) -> None:
        """Share the set of given fields between records with the same ones. Saves 2 kB a quilt: 20 MB for 10,000."""
        names = tuple(name for name in type(self).model_fields if name in self.__pydantic_fields_set__)
        object.__setattr__(self, "__pydantic_fields_set__", _shared(names))

    # A pickle or copy holds only the given fields, without defaults.

    def __getstate__(self) -> dict[str, Any]:
        return {name: self.__dict__[name] for name in type(self).model_fields if name in self.model_fields_set}

    def __setstate__(self, state: dict[str, Any]) -> None:
        object.__setattr__(self, "__dict__", _defaults(type(self)) | state)
        object.__setattr__(self, "__pydantic_fields_set__", _shared(tuple(state)))
        object.__setattr__(self, "__pydantic_extra__", None)
        object.__setattr__(self, "__pydantic_private__", None)


@cache
def _shared(names: tuple[str, ...]) -> set[str]:
    return set(names)


@cache
def _defaults(kind: type[Record]) -> dict[str, Any]:
    """The default of each field of a record, in order; None for a required field."""
    return {name: None if field.is_required() else field.default for name, field in kind.model_fields.items()}


class Identified(Record):
    """A record with a file of its own, whose name is its ID; the file itself does not repeat it."""

    id: str


@cache
def fields_of(kind: type[BaseModel]) -> dict[str, FieldInfo]:
    """A record's fields by their names in a file, without the ID, which is the file's name."""
    hidden = {"id"} if issubclass(kind, Identified) else set()
    return {field.alias or name: field for name, field in kind.model_fields.items() if name not in hidden}


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
    """Validates a field with this function alone, which gets the value in the file and the validation context."""

    function: Callable[[object, ValidationInfo], Any]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.function)


def _read(what: str, parse: Callable[[str, ValidationInfo], Any], kind: type) -> ReadBy:
    return ReadBy(lambda value, info: value if isinstance(value, kind) else parse(_written(value, what), info))


def _units(info: ValidationInfo) -> Literal["in", "cm"]:
    return "cm" if (info.context or {}).get("units") == "cm" else "in"


def _currency(info: ValidationInfo) -> str | None:
    return (info.context or {}).get("currency")


def _described(examples: list[str], **schema: Any) -> WithJsonSchema:
    return WithJsonSchema({"type": ["string", "number"], "examples": examples, **schema})


# Many quilts have the same values: each is parsed once and shared.
_length = lru_cache(maxsize=4096)(Length.parse)
_size = lru_cache(maxsize=4096)(Size.parse)
_date = lru_cache(maxsize=4096)(EdtfDate.parse)

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
    _read("A range of lengths", lambda text, info: LengthRange.parse(text, unit=_units(info)), LengthRange),
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
    # For an editor, a title such as 1996 is a number.
    WithJsonSchema({"type": ["string", "number"]}),
]


def _on_one_line(value: str) -> str:
    return " ".join(line.strip() for line in value.splitlines() if line.strip())


Line = Annotated[Text, AfterValidator(_on_one_line)]
"""Text on one line, such as a name: a line break becomes a space."""


def _lower_case(value: object) -> object:
    return value.strip().lower() if isinstance(value, str) else value


ANY_CASE = BeforeValidator(_lower_case)
"""Converts to lower case: Finished to finished."""

Word = Annotated[Line, ANY_CASE]


def _web_address(value: str) -> str:
    scheme, _, rest = value.partition("://")
    if scheme.lower() not in ("http", "https") or not rest or any(c.isspace() for c in value):
        raise ValueError(f"{quoted(value)} is not a web address: one begins with https:// and has no spaces.")
    return value


WebAddress = Annotated[Text, AfterValidator(_web_address)]


def _site_address(value: str) -> str:
    """Check the address of a site. Pages use its path in links, where `//` would name another host."""
    if why := _why_no_site(value):
        raise ValueError(
            f"{quoted(value)} is not the address of a site: {why}. Write where the catalogue's first page is, such as "
            "https://example.org/quilts."
        )
    return value


def _why_no_site(value: str) -> str | None:
    try:
        parts = urlsplit(value)
        host, path = parts.hostname, parts.path
    except ValueError:
        return "it can't be read"
    try:
        parts.port  # noqa: B018 - reading it checks it
    except ValueError:
        return "a port is a number up to 65535"
    if "@" in parts.netloc:
        return "it holds a name or a password"
    if "?" in value or "#" in value:
        return "it goes on behind a ? or #"
    if not host or not re.fullmatch(r"[\w.:-]+", host):
        return "it names no host"
    if "//" in path or "\\" in value or not value.isprintable():
        return "its path has a slash or a character too many"
    # Browsers treat %2e as a dot.
    if any(unquote(step) in (".", "..") for step in path.split("/")):
        return "its path goes back by . or .."
    return None


SiteAddress = Annotated[WebAddress, AfterValidator(_site_address)]


def _photo_path(value: object, info: ValidationInfo) -> str:
    written = _written(value, "The name of a photo file").strip()
    text = written.replace("\\", "/")
    parts = text.split("/")
    if text.startswith("/") or ":" in parts[0] or any(part in ("", ".", "..") for part in parts):
        raise ValueError(
            f"{quoted(written)} is no place in the photos folder. Write the photo's name from there on, "
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
    """Allows a short form of a record or a list, in files and in the schemas for editors.

    `expand` converts a value of the types `of` to the full form; `schema_of` converts the full form's schema.
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
    """Allows text in place of a record, for this field (`- low-tide/front.jpg`)."""
    return ShortForm(str, lambda text: {field: text}, lambda record: record["properties"][field])


ONE_IS_A_LIST = ShortForm(str | dict, lambda item: [item], lambda whole: whole["items"])
"""Allows a list to be written as its only item: `borders: 5`."""


def _words_in_a_row(text: str) -> list[str]:
    """Split text at its commas, unless it is too long: then its length is the only problem."""
    words = [word for word in text.split(",") if word.strip()] if len(text) <= LONGEST_TEXT else []
    return words or [text]


WORDS_IN_A_ROW = ShortForm(str, _words_in_a_row, lambda whole: whole["items"])
"""Allows a list of words with commas between: `colours: green, grey`. No word contains a comma."""

Texts = Annotated[tuple[Line, ...], ONE_IS_A_LIST]
Words = Annotated[tuple[Word, ...], WORDS_IN_A_ROW]
