"""The kinds of value that fields hold: each reads the text of a file and refuses with a remedy."""

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, PlainValidator, StringConstraints
from pydantic import ValidationInfo, WithJsonSchema

from collection.dates import EdtfDate
from collection.lengths import Length, LengthRange, Size
from collection.money import Money


class Record(BaseModel):
    """What a file, or a part of one, may hold: frozen, and nothing beyond the named fields."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


class Identified(Record):
    """A record with a file of its own, whose name is its ID; the file itself does not repeat it."""

    id: str


def _written(value: object, what: str) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        raise ValueError(f"{what} is needed here, not true or false.")
    raise ValueError(f"{what} is needed here, as one piece of text.")


def _read(what: str, parse: Callable[[str, ValidationInfo], Any], kind: type) -> PlainValidator:
    def validate(value: object, info: ValidationInfo) -> Any:
        return value if isinstance(value, kind) else parse(_written(value, what), info)

    return PlainValidator(validate)


def _units(info: ValidationInfo) -> Literal["in", "cm"]:
    return (info.context or {}).get("units", "in")


def _currency(info: ValidationInfo) -> str:
    return (info.context or {}).get("currency", "USD")


def _described(examples: list[str], **schema: Any) -> WithJsonSchema:
    return WithJsonSchema({"type": ["string", "number"], "examples": examples, **schema})


LengthField = Annotated[
    Length,
    _read("A length", lambda text, info: Length.parse(text, unit=_units(info)), Length),
    _described(["2", "1 1/2 in", "30 cm"]),
]
SizeField = Annotated[
    Size,
    _read("A size, width x length,", lambda text, info: Size.parse(text, unit=_units(info)), Size),
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
    _read("A date", lambda text, info: EdtfDate.parse(text), EdtfDate),
    _described(["2016", "2016~", "2016-05", "2016-05-01", "about 2016", "1990s", "2015/2017"]),
]
MoneyField = Annotated[
    Money,
    _read("An amount", lambda text, info: Money.parse(text, currency=_currency(info)), Money),
    _described(["84.50"]),
]
Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=20_000)]


def _one_is_a_list(value: object) -> object:
    """A maker who writes `colours: green` means a list of one."""
    return [value] if isinstance(value, str | dict) else value


ONE_IS_A_LIST = BeforeValidator(_one_is_a_list)
"""For lists that may be written as their only item."""


Texts = Annotated[
    tuple[Text, ...],
    ONE_IS_A_LIST,
    WithJsonSchema(
        {"anyOf": [{"type": "array", "items": {"type": ["string", "number"]}}, {"type": "string"}]}
    ),
]


def _lower_case(value: object) -> object:
    return value.strip().lower() if isinstance(value, str) else value


Word = Annotated[Text, BeforeValidator(_lower_case)]
Words = Annotated[
    tuple[Word, ...], ONE_IS_A_LIST,
    WithJsonSchema({"anyOf": [{"type": "array", "items": {"type": "string"}}, {"type": "string"}]}),
]


def _web_address(value: str) -> str:
    scheme, separator, rest = value.partition("://")
    if scheme not in ("http", "https") or not separator or not rest or any(c.isspace() for c in value):
        raise ValueError("A web address begins with https:// and has no spaces.")
    return value


WebAddress = Annotated[Text, BeforeValidator(lambda value: _web_address(_written(value, "A web address")))]


def _photo_path(value: object) -> str:
    text = _written(value, "The name of a photo file").strip().replace("\\", "/")
    parts = text.split("/")
    if text.startswith("/") or ":" in parts[0] or any(part in ("", ".", "..") for part in parts):
        raise ValueError(
            "A photo's name is given from the photos folder on, such as low-tide/front.jpg, and stays inside it."
        )
    return text


PhotoPath = Annotated[
    str,
    PlainValidator(_photo_path),
    WithJsonSchema({"type": "string", "examples": ["low-tide/front.jpg"]}),
]


def from_short_form(field: str) -> BeforeValidator:
    """Where one text stands for the record, it is this field of it (`- low-tide/front.jpg`)."""
    return BeforeValidator(lambda value: {field: value} if isinstance(value, str) else value)
