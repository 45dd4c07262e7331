"""Reads the name of a picture or folder: a quilt's name, what is shown, which copy it is, and when it was taken."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import datetime
from itertools import dropwhile

from collection.vocabulary.word_forms import words_of

# What a picture shows, by the words at the end of its name, and (below) by words that are the whole name.
SHOWS = {
    "front": ("front", "whole", "overall"),
    "back": ("back", "backing", "reverse"),
    "label": ("label", "signature"),
    "detail": ("detail", "details", "closeup", "close up", "macro"),
    "folded": ("folded",),
    "in use": ("in use",),
    "in progress": ("in progress", "progress", "wip"),
    "damage": ("damage", "damaged"),
    "scale": ("ruler",),
}
# Names of quilts end with these too, so they count only if nothing precedes them, or the name of a quilt that another
# picture has. Those under None say nothing about what is shown, only that they are not a quilt's name.
SCENES = {
    "detail": ("corner", "corners", "binding", "border", "block", "stitching", "quilting"),
    "in use": ("bed", "on the bed", "on bed", "sofa", "on the sofa", "chair", "crib", "cot", "couch"),
    "front": ("full", "cover", "main", "top"),
    "folded": ("rolled", "stack"),
    "damage": ("stain", "tear"),
    "scale": ("scale",),
    None: ("wall", "line", "washing line", "fence", "rail", "floor", "outside", "garden", "hanging", "show", "side"),
}


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


_CAMERA_WORDS = _set(
    "img dsc dscn dscf pxl pict mvi sam imgp cimg image images photo photos picture pictures pic pics scan scans "
    "scanned screenshot snapshot file untitled unnamed camera fullsizerender at am pm wa"
)
# What cameras and programs add to a name with their own number or time.
_ADDED_WORDS = _set(
    "hdr portrait burst cover mp pano panorama original night bokeh live received resized fb jpg jpeg heic edited edit "
    "copy cropped export exported share shared"
)
_VERSION_WORDS = _set("copy edited edit cropped crop resized retouched rotated web thumb thumbnail")
# Folders with these names have pictures of many quilts.
_BOX_WORDS = _CAMERA_WORDS | _set(
    "dcim roll quilts quilt quilting new folder unsorted sort sorted to of misc miscellaneous various other others "
    "more all my our the from phone card sd usb backup old download downloads desktop documents album albums "
    "collection finished done export exports original originals inbox stuff batch upload uploads for and in "
    "january february march april may june july august september october november december jan feb mar apr jun "
    "jul aug sep sept oct nov dec spring summer autumn fall winter charity charities donation donations donated "
    "giving gift gifts given away free sale sold kept family friends box bin pile lot import imported show shows "
    "guild shop shops class classes retreat samples unfinished ufos christmas"
)
# Many quilts have these names, so pictures that share one may be of different quilts.
_ANY_QUILT = _set(
    "quilt quilts blanket patchwork baby lap throw twin queen king crib cot child bed wall charity donation gift "
    "small large big little blue green red yellow pink purple white black grey gray brown orange"
)

_MOMENT = re.compile(
    r"(?<!\d)((?:19|20)\d\d)[-_.]?(0[1-9]|1[0-2])[-_.]?(0[1-9]|[12]\d|3[01])"
    r"(?:[-_ T]|\s+at\s+)+([01]\d|2[0-3])[-_.:]?([0-5]\d)[-_.:]?([0-5]\d)(?:\d{3})?(?!\d)"
)
_DAY = re.compile(r"(?<!\d)(?:19|20)\d\d([-_.]?)(?:0[1-9]|1[0-2])(?:\1(?:0[1-9]|[12]\d|3[01]))?(?!\d)")
_CAMERA_NUMBER = re.compile(
    r"(?<![^\W_])(?:_?[A-Z]{1,4}[-_]?E?\d{3,}|[A-Za-z]{2,4}_E?\d{4,}|[A-Za-z]{5,9}_?\d{6,})(?![^\W_])"
)
_MACHINE_MADE = re.compile(
    r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}|(?<![^\W_])(?=\w*\d)[0-9a-f]{12,}(?![^\W_])", re.IGNORECASE
)
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*|\d+")
_BEGINNING = re.compile(r"\W*(\w+)(?:\s+(?:of|from)(?:\s+the)?\s+|\s+-\s+)(?=\w)")
_COPY_NUMBER = re.compile(r"(?:\s*\(\d{1,3}\)|~\d{1,2}|[-_ ]+copy(?:[-_ ]*\(?\d{1,3}\)?)?)$", re.IGNORECASE)
_VERSION = re.compile(rf"[-_ ]+(?:{'|'.join(sorted(_VERSION_WORDS))})$", re.IGNORECASE)
_YEAR = re.compile(r"(?:19|20)\d\d")
_SMALL_WORDS = _set("a an and at by for from in of on or the to with")


@dataclass(frozen=True, slots=True)
class PictureName:
    """The parts of a name.

    `title` is the quilt's name as a title, empty if the name has no words of its own; `words` are for comparing titles.
    `shows` is one of the record's words, or None. `original` is the same for all copies and edited versions of a
    picture, and `is_version` marks these. `taken` is the time in the name. `any_quilt`: the words fit many quilts.
    """

    title: str
    words: frozenset[str]
    shows: str | None
    number: int | None
    original: str
    is_version: bool
    taken: datetime | None
    any_quilt: bool


def read_name(stem: str) -> PictureName:
    """The parts of a picture's name, which is given without its suffix.

    >>> low = read_name("low-tide-back 2")
    >>> low.title, low.shows, low.number
    ('Low Tide', 'back', 2)
    >>> phone = read_name("IMG_20160512_101112 (2)")
    >>> phone.title, phone.original, phone.is_version, str(phone.taken)
    ('', 'img_20160512_101112', True, '2016-05-12 10:11:12')
    """
    stem = unicodedata.normalize("NFC", stem).strip()
    original = _original(stem)
    words_only = _MACHINE_MADE.sub(" ", _CAMERA_NUMBER.sub(" ", _DAY.sub(" ", _MOMENT.sub(" ", original))))
    spaced, shows, number = _without_endings(_camel_apart(words_only))
    dropped = _CAMERA_WORDS | _ADDED_WORDS if words_only != original else _CAMERA_WORDS
    title = "" if _was_sent(stem) or is_scene(words_only) else _title(spaced, any_number=False, dropped=dropped)
    shows = shown_by(words_only) if is_scene(words_only) else shows
    words = words_of(title) - {"quilt"} if title else frozenset()
    return PictureName(
        title=title,
        words=words or words_of(title),
        shows=shows,
        number=number,
        original=re.sub(r"(?<=[a-z]_)e(?=\d{4}$)", "", original.casefold()),
        is_version=original != stem or bool(re.search(r"(?<=[A-Za-z]_)E(?=\d{4}$)", original)),
        taken=_moment(stem),
        any_quilt=words_of(title) <= _ANY_QUILT,
    )


def quilt_name_of_folder(name: str) -> str:
    """The title of the quilt that a folder is named after; empty if it has pictures of many quilts.

    >>> names = ("low-tide", "2016-05 Grandma's fans", "100APPLE", "May 2016", "Quilts")
    >>> [quilt_name_of_folder(name) for name in names]
    ['Low Tide', "Grandma's fans", '', '', '']
    """
    name = unicodedata.normalize("NFC", name).strip()
    if re.fullmatch(r"\d{3}_?[A-Z]{4,5}_?", name):
        return ""
    text = _DAY.sub(" ", _MOMENT.sub(" ", name)) if _DAY.match(name) else name
    words = [word.casefold() for word in _WORD.findall(text) if not word.isdecimal()]
    if not words or "quilts" in words or all(word in _BOX_WORDS for word in words) or is_scene(name):
        return ""
    return _title(_camel_apart(text), any_number=True)


_SHOWN_BY_SCENES = {name: shows for kinds in (SCENES, SHOWS) for shows, names in kinds.items() for name in names}
_SHOWN_BY_ENDING = {name: shows for shows, names in SHOWS.items() for name in names}


def shown_by(words: str) -> str | None:
    """What pictures show that have only these words as their name: a word of the record; None for a place or a quilt.

    >>> shown_by("on the bed"), shown_by("washing line 2")
    ('in use', None)
    """
    return _SHOWN_BY_SCENES.get(_plain(words))


def is_scene(words: str) -> bool:
    """Do the words say what a picture shows, or where, instead of a quilt's name: `details`, `on the bed`?"""
    return _plain(words) in _SHOWN_BY_SCENES


def _plain(words: str) -> str:
    return " ".join(word.casefold() for word in _WORD.findall(words) if not word.isdecimal())


# Parts of a name --------------------------------------------------------------------------------


def _original(stem: str) -> str:
    """The name without the marks of copies and of edited versions."""
    while (shorter := _VERSION.sub("", _COPY_NUMBER.sub("", stem))) != stem and _WORD.search(shorter):
        stem = shorter
    return stem


def _was_sent(stem: str) -> bool:
    """Are the words those of the program that sent the picture, as in `Chat image 2016-05-12 at 10.11.12`?"""
    return bool(_MOMENT.search(stem)) and any(word.casefold() in _CAMERA_WORDS for word in _WORD.findall(stem))


def _moment(stem: str) -> datetime | None:
    found = _MOMENT.search(stem)
    if found is None:
        return None
    try:
        year, month, day, hour, minute, second = map(int, found.groups())
        return datetime(year, month, day, hour, minute, second)
    except ValueError:  # not a day of that month
        return None


def _camel_apart(text: str) -> str:
    """`LowTide` as two words, if nothing else separates the words of the name."""
    return text if re.search(r"[\s_.-]", text.strip()) else re.sub(r"(?<=[a-zà-ÿ])(?=[A-ZÀ-Þ])", " ", text)


def _without_endings(text: str) -> tuple[str, str | None, int | None]:
    """The text without the words that say what is shown and the number; what is shown; and the number."""
    number = None
    shows = None
    while True:
        text = text.rstrip(" -_.,#(+")
        last = list(_WORD.finditer(text))
        if not last:
            return text, shows, number
        start, word = last[-1].start(), last[-1][0]
        if word.isdecimal() and len(word) <= 3:
            number, text = int(word) if number is None else number, text[:start]
        elif (ending := _shown_at_the_end(text)) is not None and shows is None:
            shows, text = ending
        elif (beginning := _BEGINNING.match(text)) and shows is None and beginning[1].casefold() in _SHOWN_BY_ENDING:
            shows, text = _SHOWN_BY_ENDING[beginning[1].casefold()], text[beginning.end() :]
        else:
            return text, shows, number


def _shown_at_the_end(text: str) -> tuple[str, str] | None:
    words = list(_WORD.finditer(text))
    for count in (2, 1):
        if len(words) < count:
            continue
        kind = _SHOWN_BY_ENDING.get(" ".join(word[0].casefold() for word in words[-count:]))
        if kind is not None:
            return kind, text[: words[-count].start()].rstrip(" ([-_")
    return None


def _title(text: str, *, any_number: bool, dropped: frozenset[str] = _CAMERA_WORDS) -> str:
    """The words as a title, without `dropped` words at either end; capitals are added if the name has none."""
    words = list(_WORD.finditer(text))
    if not any(_is_telling(word[0], dropped) for word in words):
        return ""
    words = list(dropwhile(lambda word: word[0].casefold() in dropped | {"of"}, words))
    from_end = dropwhile(lambda word: word[0].casefold() in dropped, reversed(words))
    if not any_number:  # long numbers that are not years are the camera's
        from_end = dropwhile(lambda word: word[0].isdecimal() and not _YEAR.fullmatch(word[0]), from_end)
    written = text[words[0].start() : next(from_end).end()]
    if "(" in written and ")" not in written:
        written += ")"
    if " " not in written.strip():
        written = re.sub(r"[-_.]+", " ", written)
    written = " ".join(written.replace("_", " ").split())
    is_as_meant = any(letter.isupper() for letter in written) or written.lower() == written.upper()
    return written if is_as_meant else _capitalised(written)


def _is_telling(word: str, dropped: frozenset[str]) -> bool:
    """Can a word be part of a quilt's name by itself?"""
    small = word.casefold()
    return small not in dropped | {"quilt"} and not word.isdecimal() and (len(word) > 2 or not word.isascii())


def _capitalised(title: str) -> str:
    words = title.split(" ")
    return " ".join(
        word if at and word in _SMALL_WORDS else word[:1].upper() + word[1:] for at, word in enumerate(words)
    )
