"""What the name of a picture or a folder tells: a quilt's name, what is shown, which copy it is, and when it was taken."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import datetime

from collection.plain_words import words_of

# What a picture shows, by the words at the end of its name, and (below) by words that stand alone.
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
# These end the names of quilts too, so they count only where nothing else, or a quilt known by another
# picture, stands before them. Some say nothing of what is shown, only that they are no quilt's name.
SCENES = {
    "detail": ("corner", "corners", "binding", "border", "block", "stitching", "quilting"),
    "in use": ("bed", "on the bed", "on bed", "sofa", "on the sofa", "chair", "crib", "cot", "couch"),
    "front": ("full", "cover", "main", "top"),
    "folded": ("rolled", "stack"),
    "damage": ("stain", "tear"),
    "scale": ("scale",),
    None: ("wall", "line", "washing line", "fence", "rail", "floor", "outside", "garden", "hanging", "show", "side"),
}
_CAMERA_WORDS = frozenset(
    "img dsc dscn dscf pxl pict mvi sam imgp cimg image images photo photos picture pictures pic pics scan scans "
    "scanned screenshot snapshot file untitled unnamed camera fullsizerender at am pm wa".split()
)
# What cameras and programs add to a name that has their own number or moment in it.
_ADDED_WORDS = frozenset(
    "hdr portrait burst cover mp pano panorama original night bokeh live received resized fb jpg jpeg heic edited edit "
    "copy cropped export exported share shared".split()
)
_VERSION_WORDS = frozenset("copy edited edit cropped crop resized retouched rotated web thumb thumbnail".split())
# Folders called so hold pictures of many quilts.
_BOX_WORDS = _CAMERA_WORDS | frozenset(
    "dcim roll quilts quilt quilting new folder unsorted sort sorted to of misc miscellaneous various other others "
    "more all my our the from phone card sd usb backup old download downloads desktop documents album albums "
    "collection finished done export exports original originals inbox stuff batch upload uploads for and in "
    "january february march april may june july august september october november december jan feb mar apr jun "
    "jul aug sep sept oct nov dec spring summer autumn fall winter charity charities donation donations donated "
    "giving gift gifts given away free sale sold kept family friends box bin pile lot import imported show shows "
    "guild shop shops class classes retreat samples unfinished ufos christmas".split()
)
# Many quilts are called so: these words make no two pictures one quilt.
_ANY_QUILT = frozenset(
    "quilt quilts blanket patchwork baby lap throw twin queen king crib cot child bed wall charity donation gift "
    "small large big little blue green red yellow pink purple white black grey gray brown orange".split()
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
_COPY_NUMBER = re.compile(r"(?:\s*\(\d{1,3}\)|~\d{1,2}|[-_ ]+copy(?:[-_ ]*\(?\d{1,3}\)?)?)$", re.IGNORECASE)
_VERSION = re.compile(rf"[-_ ]+(?:{'|'.join(sorted(_VERSION_WORDS))})$", re.IGNORECASE)
_YEAR = re.compile(r"(?:19|20)\d\d")
_SMALL_WORDS = frozenset("a an and at by for from in of on or the to with".split())


@dataclass(frozen=True, slots=True)
class PictureName:
    """A name taken apart.

    `title` is the quilt's name as a title, empty where the name has no words of its own; `words` compares
    titles. `shows` is one of the record's words, or None. `original` is the same for all copies and edited
    versions of one picture; `is_version` tells that this is one of those. `taken` is the moment that the
    name gives, and `any_quilt` that the words suit many quilts.
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
    """A picture's name, without its ending.

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
    """The quilt that a folder is called after, as a title; empty where it is a box of many quilts.

    >>> [quilt_name_of_folder(name) for name in ("low-tide", "2016-05 Grandma's fans", "100APPLE", "May 2016", "Quilts")]
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


_NO_SCENE = object()


def shown_by(words: str) -> str | None | object:
    """What pictures show that are called by these words alone (a word of the record, or None for just a
    place), or something else where the words are no such thing.

    >>> shown_by("on the bed"), shown_by("washing line 2")
    ('in use', None)
    """
    plain = " ".join(word.casefold() for word in _WORD.findall(words) if not word.isdecimal())
    for kinds in (SHOWS, SCENES):
        for shows, names in kinds.items():
            if plain in names:
                return shows
    return _NO_SCENE


def is_scene(words: str) -> bool:
    """Is this no quilt's name but what a picture of one shows, or where: `details`, `on the bed`?"""
    return shown_by(words) is not _NO_SCENE


# Parts of a name --------------------------------------------------------------------------------


def _original(stem: str) -> str:
    """The name without the marks of copies and of edited versions."""
    while (shorter := _VERSION.sub("", _COPY_NUMBER.sub("", stem))) != stem and _WORD.search(shorter):
        stem = shorter
    return stem


def _was_sent(stem: str) -> bool:
    """`Chat image 2016-05-12 at 10.11.12`: the words are those of the program that passed it on."""
    return bool(_MOMENT.search(stem)) and any(word.casefold() in _CAMERA_WORDS for word in _WORD.findall(stem))


def _moment(stem: str) -> datetime | None:
    found = _MOMENT.search(stem)
    try:
        return datetime(*map(int, found.groups())) if found else None
    except ValueError:    # the thirty-first of a month that has none
        return None


def _camel_apart(text: str) -> str:
    """`LowTide` in two, where the whole name has no other mark between its words."""
    return text if re.search(r"[\s_.-]", text.strip()) else re.sub(r"(?<=[a-zà-ÿ])(?=[A-ZÀ-Þ])", " ", text)


def _without_endings(text: str) -> tuple[str, str | None, int | None]:
    """The text before the number and the words that say what is shown, and both of these."""
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
        elif (beginning := re.match(r"\W*(\w+)(?:\s+(?:of|from)(?:\s+the)?\s+|\s+-\s+)(?=\w)", text)) and shows is None:
            kind = next((kind for kind, names in SHOWS.items() if beginning[1].casefold() in names), None)
            if kind is None:
                return text, shows, number
            shows, text = kind, text[beginning.end() :]
        else:
            return text, shows, number


def _shown_at_the_end(text: str) -> tuple[str, str] | None:
    words = list(_WORD.finditer(text))
    for count in (2, 1):
        if len(words) < count:
            continue
        plain = " ".join(word[0].casefold() for word in words[-count:])
        kind = next((kind for kind, names in SHOWS.items() if plain in names), None)
        if kind is not None:
            return kind, text[: words[-count].start()].rstrip(" ([-_")
    return None


def _title(text: str, *, any_number: bool, dropped: frozenset[str] = _CAMERA_WORDS) -> str:
    """The words as a title, those to be `dropped` at either end left out: as they were written with spaces and
    capitals, else each begun with a capital."""
    found = [word for word in _WORD.finditer(text)]
    own = [word for word in found if word[0].casefold() not in dropped and not word[0].isdecimal()]
    if not any((len(word[0]) > 2 or not word[0].isascii()) and word[0].casefold() != "quilt" for word in own):
        return ""
    while found and found[0][0].casefold() in dropped | {"of"}:
        found = found[1:]
    while found and found[-1][0].casefold() in dropped:
        found = found[:-1]
    if not any_number:    # long numbers that are no years are the camera's
        while found and found[-1][0].isdecimal() and not _YEAR.fullmatch(found[-1][0]):
            found = found[:-1]
    written = text[found[0].start() : found[-1].end()]
    if "(" in written and ")" not in written:
        written += ")"
    if " " not in written.strip():
        written = re.sub(r"[-_.]+", " ", written)
    written = " ".join(written.replace("_", " ").split())
    return written if any(letter.isupper() for letter in written) or _has_no_capitals(written) else _capitalised(written)


def _has_no_capitals(text: str) -> bool:
    return text.lower() == text.upper()


def _capitalised(title: str) -> str:
    words = title.split(" ")
    return " ".join(
        word if at and word in _SMALL_WORDS else word[:1].upper() + word[1:] for at, word in enumerate(words)
    )
