"""Reads cells that hold words, amounts, yes or no, or file names into fields of a quilt."""

import re
from collections.abc import Iterable

from collection.spreadsheet_import.values.reading import Read, kept_as_note
from collection.spreadsheet_import.values.vocabulary import (
    CONDITIONS,
    HERSELF,
    NEARLY_CONDITIONS,
    NEARLY_STAGES,
    NO,
    OWN_DESIGN,
    SOURCES,
    STAGES,
    SURE_WAYS,
    WAYS,
    YES,
)
from collection.values.money import Money, OtherCurrency
from collection.vocabulary.fibres import FIBRES
from collection.vocabulary.word_forms import words_of
from collection.yaml_files.parser import Plain

_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_NUMBER_WORDS = {word: number for number, word in enumerate(_NUMBERS, 1)}
MOST_OF_ONE_ROW = 24
"""The most quilts that one row can mean. Common practice, no source."""


def plain(text: str) -> str:
    return " ".join(text.casefold().replace("’", "'").split()).strip(" .!")


def read_text(text: str, field: str) -> Read:
    """Reads the text as it is."""
    return Read({field: text})


def read_words(text: str, field: str) -> Read:
    """Reads a list of words: `red & white, navy` are three."""
    words = [
        word.strip() for word in re.split(r"\s*(?:[,;/&+\n]|\band\b)\s*", text, flags=re.IGNORECASE) if word.strip(" .")
    ]
    # Each word stays as it is; the separators mean nothing more.
    return Read({field: words}) if words else kept_as_note()


def read_yes_or_no(text: str, field: str) -> Read:
    word = plain(text)
    if word in YES or word == "sewn on":
        return Read({field: True})
    return Read({field: False}) if word in NO else kept_as_note()


def read_money(text: str, field: str, currency: str | None) -> Read:
    """Reads an exact amount: `about 80` is not one, as money is never guessed."""
    try:
        return Read({field: f"{Money.parse(text, currency).amount:f}"})
    except OtherCurrency as other:
        return kept_as_note(str(other))
    except ValueError:
        return kept_as_note()


def read_money_cell(number: float, field: str, currency: str | None) -> Read:
    """Reads an amount from a number, perhaps the result of a division, rounded to the currency's decimals."""
    from decimal import Decimal

    from collection.values.currencies import DECIMALS, DECIMALS_OF_NONE

    if not 0 <= number < 10**12:
        return kept_as_note()
    amount = abs(Decimal(format(number, ".15g")))  # A zero may have a minus sign.
    rounded = amount.quantize(Decimal(1).scaleb(-(DECIMALS[currency] if currency else DECIMALS_OF_NONE)))
    return Read({field: f"{rounded:f}"}, exact=amount == rounded)


def read_number(text: str) -> Read:
    """Reads an inventory number: `143`, `#143`, `No. 143`."""
    found = re.fullmatch(r"(?:#|no\.?|nr\.?)?\s*(0*[1-9][0-9]{0,6})", text.strip(), re.IGNORECASE)
    if not found:
        return kept_as_note()
    return Read({"number": found[1].lstrip("0")}, exact=not found[1].startswith("0"))


def read_stage(text: str) -> Read:
    word = plain(text)
    if word in STAGES:
        return Read({"stage": STAGES[word]})
    return Read({"stage": NEARLY_STAGES[word]}, exact=False) if word in NEARLY_STAGES else kept_as_note()


def read_condition(text: str) -> Read:
    """Reads one of the four conditions; any other text is kept in the condition's note."""
    word = plain(text)
    if word in CONDITIONS:
        return Read({"condition": CONDITIONS[word]})
    fields = {"condition_note": text}
    for separator in (",", ";", " - ", " but "):
        word = word.partition(separator)[0].strip()
    nearly = NEARLY_CONDITIONS.get(word) or CONDITIONS.get(word)
    return Read({"condition": nearly, **fields} if nearly else fields)


def read_way(text: str, field: str = "quilting.how") -> Read:
    """Reads a way of quilting: by hand, on which machine, or tied; text that says more, or less, is kept as well."""
    word = plain(text)
    ways = {way for sign, way in WAYS.items() if _has_sign(sign, word)}
    if "longarm" in ways or "hand" in ways or "tied" in ways:
        ways.discard("domestic machine")
    if len(ways) != 1 or word in ("machine", "by machine", "machine quilted"):
        return kept_as_note()
    return Read({field: ways.pop()}, exact=word in SURE_WAYS)


def _has_sign(sign: str, word: str) -> bool:
    """Whether a text contains a sign: a long one may be part of a word (`longarmed`), a short one may not."""
    return bool(re.search(rf"\b{re.escape(sign)}" + (r"\b" if len(sign) <= 3 else ""), word))


def read_quilted_by(text: str, maker: str | None) -> Read:
    """Reads who quilted it: `Jo, longarm` also says how; the maker is named if the collection names her."""
    word = plain(text)
    if word in HERSELF:
        return Read({"quilting.by": maker}) if maker else kept_as_note()
    if word in SURE_WAYS:
        return read_way(text)
    found = re.fullmatch(
        r"(.+?)\s*(?:,|;|-|–|\()\s*(long ?-?arm(?:ed)?|by hand|hand|domestic|tied)\)?", text.strip(), re.IGNORECASE
    )
    if found and (how := read_way(found[2])).fields:
        by = maker if plain(found[1]) in HERSELF else found[1]
        return Read({"quilting.by": by, **how.fields}) if by else Read(how.fields, exact=False)
    if word in NO or word in ("?", "n/a", "na"):
        return kept_as_note()
    return Read({"quilting.by": text})


def read_pattern(text: str) -> Read:
    """Reads a pattern: `Low Tide by A. Name` includes its designer; `own design` has none."""
    word = plain(text)
    if word in OWN_DESIGN:
        return Read({"pattern.source": "own design"}, exact=word == "own design")
    if re.fullmatch(r"https?://\S+", text.strip()):
        return Read({"pattern.url": text.strip()})
    found = re.fullmatch(r"(\S.*?),? +by +([A-Z]\S.*)", " ".join(text.split()))
    if found:
        designer = re.sub(r"\s*\([^)]*\)$", "", found[2])
        return Read({"pattern.name": found[1], "pattern.designer": designer}, exact=designer == found[2])
    return Read({"pattern.name": text})


def read_source(text: str) -> Read:
    word = plain(text)
    if word in SOURCES:
        return Read({"pattern.source": SOURCES[word]}, exact=word == SOURCES[word])
    if re.fullmatch(r"https?://\S+", text.strip()):
        return Read({"pattern.url": text.strip()})
    words = [source for sign, source in SOURCES.items() if re.search(rf"\b{re.escape(sign)}\b", word)]
    return Read({"pattern.source": words[0]}, exact=False) if len(set(words)) == 1 else kept_as_note()


_FIBRES = {*FIBRES, "flannel", "fleece", "denim", "velvet", "corduroy", "poly"}
_BESIDE_FIBRES = {"blend", "batik", "homespun", "100", "quilting", "all"}


def read_fabric(text: str) -> Read:
    """Reads the fibre of the top if the cell names only fibres; names of prints are kept in the notes."""
    words = words_of(text)
    if words & _FIBRES and words <= _FIBRES | _BESIDE_FIBRES:
        return Read({"fibre.top": text})
    return kept_as_note()


def read_fabric_lines(text: str) -> Read:
    names = [name.strip() for name in re.split(r"\s*[;\n]\s*", text) if name.strip()]
    return Read({"fabric_lines": names}) if names else kept_as_note()


def read_photos(text: str, photos: Iterable[str]) -> Read:
    """Reads files in photos/, by path or, if it is unique, by name alone."""
    by_path = {path.casefold(): path for path in photos}
    by_name: dict[str, list[str]] = {}
    for path in sorted(by_path.values()):
        name = path.rpartition("/")[2].casefold()
        for key in {name, name.rpartition(".")[0]}:
            by_name.setdefault(key, []).append(path)
    found: list[Plain] = []
    exact = True
    for written in (part.strip(" \"'") for part in re.split(r"[;\n]|,\s", text)):
        if not written:
            continue
        key = written.replace("\\", "/").casefold().removeprefix("./").removeprefix("photos/")
        named = by_name.get(key.rpartition("/")[2], [])
        file = by_path.get(key) or (named[0] if len(named) == 1 else None)
        if file is None:
            exact = False
        elif file not in found:
            found.append(file)
    if exact and found:
        return Read({"photos": found})
    return Read({"photos": found} if found else {}, exact=False, doubt="no such file in photos/")


def how_many(text: str) -> int | None:
    """The number of quilts in a cell of the column for it; None if it is not a number."""
    word = plain(text)
    number = int(word) if re.fullmatch(r"[0-9]{1,3}", word) else _NUMBER_WORDS.get(word)
    return number if number is not None and 1 <= number <= MOST_OF_ONE_ROW else None


def how_many_of_these(text: str, *, is_title: bool = False) -> int | None:
    """The number of quilts stated in the text of a row: `2 of these`, `made three of them`; in a title also `(x2)`.

    >>> how_many_of_these("2 of these"), how_many_of_these("Low Tide x2", is_title=True), how_many_of_these("20 x 20")
    (2, 2, None)
    """
    number = rf"([2-9]|1[0-9]|2[0-4]|{'|'.join(_NUMBERS[1:])})"
    in_titles = (rf"^[^0-9]*[( ]x ?{number}\)?$",) if is_title else ()
    for pattern in (
        *in_titles,
        rf"\b{number} of (?:these|them|this|those|this one)\b",
        rf"\bmade {number} (?:of (?:these|them|this)|alike|the same)\b",
        rf"\b(?:set|pair) of {number}\b(?! blocks)",
        rf"\({number} (?:made|quilts|alike)\)",
    ):
        if found := re.search(pattern, plain(text)):
            return _NUMBER_WORDS.get(found[1]) or int(found[1])
    return None
