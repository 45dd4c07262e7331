"""Groups the pictures of a source by quilt: by folder, by name, and by time, each with its reason.

If it is not certain, each picture is a quilt of its own, and the doubt is reported, as two drafts are joined more easily
than one is split.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

from collection.vocabulary.word_forms import words_of
from site_builder.photo_import.file_names import is_scene, quilt_name_of_folder
from site_builder.photo_import.find_files import NaturalKey, natural
from site_builder.photo_import.inspect import SeenPicture, colours_in_common

MOST_OF_ONE_QUILT = 12
"""More pictures than that with one name are hardly of one quilt. Common practice, no source."""

SOON_AFTER = timedelta(minutes=1)
APART = timedelta(minutes=3)
MOST_IN_ONE_GO = 5
"""Up to this many pictures, each taken within a minute of the one before, with a pause of three minutes before and
after, are proposed as one quilt: a person who photographs quilt after quilt makes no such pauses."""

COLOURS_IN_COMMON = 0.5
"""Share of coarse colours that two pictures of one series must have in common. Of the demo's photos, 41 % of the pairs
of one quilt have it, and 5 % of the pairs of two."""


BY_ITSELF = "a picture by itself"


@dataclass(frozen=True, slots=True)
class Group:
    """Pictures that are proposed as one quilt, the best for a cover first. `title` is empty if no name gives one;
    `because` says why they are together, or why a picture is alone."""

    pictures: tuple[SeenPicture, ...]
    title: str
    because: str

    @property
    def name(self) -> str:
        """The group's name in a question."""
        first = self.pictures[0].file.name
        return f"{first} and {len(self.pictures) - 1} more" if len(self.pictures) > 1 else first


@dataclass(frozen=True, slots=True)
class Doubt:
    """Groups that may be one quilt, each by the names of its pictures, and why that is not certain."""

    groups: tuple[tuple[str, ...], ...]
    why: str


@dataclass(frozen=True, slots=True)
class Grouping:
    groups: tuple[Group, ...]
    doubts: tuple[Doubt, ...]


def group(pictures: Iterable[SeenPicture], source: str = "") -> Grouping:
    """All pictures, each in one group, in the order of their names; `source` is the name of their folder."""
    groups: list[Group] = []
    doubts: list[Doubt] = []
    for home, together in _homes(list(pictures), source):
        found = _folder_of_one_quilt(home, together) if home else None
        if found is None:
            found = _by_names(together)
            if home and len(found.groups) > 1:
                found = replace(found, doubts=(*found.doubts, _doubt_of_folder(home, found.groups)))
        groups += found.groups
        doubts += found.doubts
    groups.sort(key=lambda each: min(natural(picture.file.name) for picture in each.pictures))
    return Grouping(tuple(groups), (*doubts, *_of_one_name(groups)))


def put_together(groups: Iterable[Group], because: str) -> Group:
    """Several groups as one, as a person decides."""
    groups = list(groups)
    title = next((each.title for each in groups if each.title), "")
    return _group([picture for each in groups for picture in each.pictures], title, because)


def _group(pictures: Iterable[SeenPicture], title: str, because: str) -> Group:
    return Group(tuple(sorted(pictures, key=_order)), title, because)


def _doubt(groups: Iterable[Group], why: str) -> Doubt:
    return Doubt(tuple(tuple(picture.file.name for picture in each.pictures) for each in groups), why)


def _of_one_name(groups: Iterable[Group]) -> Iterable[Doubt]:
    """Doubts about groups of the same name in several folders."""
    by_words: dict[frozenset[str], list[Group]] = defaultdict(list)
    for each in groups:
        if each.title:
            by_words[words_of(each.title) - {"quilt"}].append(each)
    for together in by_words.values():
        folders = {picture.file.folders for each in together for picture in each.pictures}
        if len(together) > 1 and len(folders) > 1:
            yield _doubt(together, f"They lie in several folders, and are called {together[0].title}.")


_LOOKED_AT_FIRST = ("front", None, "in use", "folded", "scale", "detail", "back", "label", "in progress", "damage")


def _order(picture: SeenPicture) -> tuple[int, bool, int, NaturalKey]:
    """The front first, then in the order of their numbers and names."""
    number = picture.name.number
    return _LOOKED_AT_FIRST.index(picture.shows), number is not None, number or 0, natural(picture.file.name)


# By folder --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Home:
    """A folder that may be one quilt's: its name, and the title that this gives."""

    name: str
    title: str


def _homes(pictures: list[SeenPicture], source: str) -> list[tuple[_Home | None, list[SeenPicture]]]:
    """The pictures by the folder that they belong to; folders such as `details` belong to the one above.

    The source itself has many quilts, unless all its pictures are named after what they show: `front`, `back`.
    """
    by_folder: dict[tuple[str, ...], list[SeenPicture]] = defaultdict(list)
    for picture in pictures:
        folders = picture.file.folders
        while len(folders) > 1 and is_scene(folders[-1]):
            folders = folders[:-1]
        by_folder[folders].append(picture)
    homes = []
    for folders, together in by_folder.items():
        called = folders[-1] if folders else source if all(is_scene(each.path.stem) for each in together) else ""
        title = quilt_name_of_folder(called) if called else ""
        holds_others = any(other[: len(folders)] == folders and other != folders for other in by_folder)
        homes.append((_Home(called, title) if title and not holds_others else None, together))
    return homes


def _folder_of_one_quilt(home: _Home, pictures: list[SeenPicture]) -> Grouping | None:
    """The folder as one quilt; None if it has too many pictures, or names of several quilts.

    A folder whose name ends in `quilt` is always one quilt, so that a person has the last word.
    """
    own = words_of(home.title)
    others = {picture.name.words for picture in pictures if _has_other_name(picture, own)}
    if home.title.casefold().endswith(" quilt"):
        pass
    elif len(pictures) > MOST_OF_ONE_QUILT or len(others) > (len(pictures) == 1):
        return None
    because = f"in the folder {home.name}"
    return Grouping((_group(pictures, home.title, because),), ())


def _has_other_name(picture: SeenPicture, own: frozenset[str]) -> bool:
    words = picture.name.words
    return bool(words) and not (words <= own or own <= words) and not is_scene(picture.name.title)


def _doubt_of_folder(home: _Home, groups: tuple[Group, ...]) -> Doubt:
    count = sum(len(each.pictures) for each in groups)
    if count > MOST_OF_ONE_QUILT:
        why = f"The folder {home.name} holds {count} pictures, more than one quilt usually has."
    else:
        why = f"They lie in the folder {home.name}, and their own names differ."
    return _doubt(groups, why)


# By name ----------------------------------------------------------------------------------------


def _by_names(pictures: list[SeenPicture]) -> Grouping:
    """The pictures of a folder of many quilts, grouped by name if their names are words, else by time."""
    named = [picture for picture in pictures if picture.name.title]
    groups: list[Group] = []
    doubts: list[Doubt] = []
    loose: list[SeenPicture] = [picture for picture in pictures if not picture.name.title]
    for together in _gathered(named, lambda picture: picture.name.words):
        title = min((picture.name.title for picture in together), key=lambda title: (len(title), title))
        if len(together) == 1:
            groups.append(_group(together, _full_title(together[0]), "its own name"))
        elif together[0].name.any_quilt or len(together) > MOST_OF_ONE_QUILT:
            apart = [_group([one], _full_title(one), f"many quilts may be called {title}") for one in together]
            groups += apart
            doubts.append(_doubt(apart, f"They are all called {title}."))
        else:
            groups.append(_group(together, title, f"called {title}"))
    by_moment = _by_moments(loose)
    return Grouping((*_with_scenes(groups), *by_moment.groups), (*doubts, *by_moment.doubts))


def _full_title(picture: SeenPicture) -> str:
    """The title, with the number if many quilts may have this title."""
    name = picture.name
    return f"{name.title} {name.number}" if name.any_quilt and name.number is not None else name.title


def _with_scenes(groups: list[Group]) -> list[Group]:
    """Let `low-tide-on-the-bed` join `low-tide`, if there is exactly one."""
    by_title: dict[str, list[int]] = defaultdict(list)
    for at, each in enumerate(groups):
        by_title[each.title.casefold()].append(at)
    joined: dict[int, list[Group]] = defaultdict(list)
    for at, each in enumerate(groups):
        words = each.title.split()
        bases = [
            by_title[base][0]
            for end in range(len(words) - 1, 0, -1)
            if len(by_title.get(base := " ".join(words[:end]).casefold(), ())) == 1 and is_scene(" ".join(words[end:]))
        ]
        joined[bases[0] if bases else at].append(each)
    whole = []
    for at, together in joined.items():
        title = groups[at].title
        because = f"called {title}" if len(together) > 1 else together[0].because
        whole.append(_group([picture for each in together for picture in each.pictures], title, because))
    return whole


# By moment --------------------------------------------------------------------------------------


def _by_moments(pictures: list[SeenPicture]) -> Grouping:
    """Pictures with the camera's names: versions of one picture, then pictures of one series."""
    groups: list[Group] = []
    doubts: list[Doubt] = []
    for versions in _gathered(pictures, lambda picture: (picture.file.folders, picture.name.original)):
        if len(versions) == 1 or all(_may_be_one_shot(versions[0], other) for other in versions[1:]):
            because = "versions of one picture, by their names" if len(versions) > 1 else BY_ITSELF
            groups.append(_group(versions, "", because))
        else:
            apart = [_group([one], "", BY_ITSELF) for one in versions]
            groups += apart
            doubts.append(_doubt(apart, "They are called like copies of one picture, and were taken at other times."))
    return _in_one_go(groups, doubts)


def _may_be_one_shot(one: SeenPicture, other: SeenPicture) -> bool:
    if one.taken and other.taken and abs(one.taken - other.taken) > SOON_AFTER:
        return False
    return not (one.camera and other.camera and one.camera != other.camera)


def _in_one_go(groups: list[Group], doubts: list[Doubt]) -> Grouping:
    timed = sorted((each for each in groups if each.pictures[0].taken), key=_moment)
    whole = [each for each in groups if not each.pictures[0].taken]
    for run in _runs(timed):
        if len(run) == 1:
            whole += run
            continue
        because = _against(run)
        if because is None:
            whole.append(put_together(run, f"taken within {_span(run)}, and no other near that time"))
        else:
            whole += (replace(each, because=BY_ITSELF) for each in run)
            doubts.append(_doubt(run, because))
    return Grouping(tuple(whole), tuple(doubts))


def _moment(group: Group) -> datetime:
    """When the first picture of a group was taken, which must be known."""
    taken = group.pictures[0].taken
    assert taken is not None
    return taken


def _runs(timed: list[Group]) -> list[list[Group]]:
    """Series of pictures with less than `APART` between each and the next."""
    runs: list[list[Group]] = []
    for each in timed:
        if runs and _moment(each) - _moment(runs[-1][-1]) < APART:
            runs[-1].append(each)
        else:
            runs.append([each])
    return runs


def _against(run: list[Group]) -> str | None:
    """The reason why a series of pictures may not be of one quilt; None if there is none."""
    shots = [each.pictures[0] for each in run]
    if len(run) > MOST_IN_ONE_GO:
        return f"{len(run)} pictures were taken one soon after another, as of quilt after quilt."
    if any(_moment(after) - _moment(before) > SOON_AFTER for before, after in pairwise(run)):
        return "They were taken within minutes, with more than one minute between some."
    if len({shot.camera for shot in shots}) > 1:
        return "They were taken at the same time, by different cameras."
    if sum(shot.shows == "front" for shot in shots) > 1:
        return "They were taken at the same time, and two of them are fronts by their names."
    tops = [shot for shot in shots if shot.shows not in ("back", "label")]
    if any(colours_in_common(tops[0], other) < COLOURS_IN_COMMON for other in tops[1:]):
        return f"They were taken within {_span(run)}, and their colours differ."
    return None


def _span(run: list[Group]) -> str:
    seconds = int((_moment(run[-1]) - _moment(run[0])).total_seconds())
    return f"{seconds // 60} min {seconds % 60} s" if seconds >= 60 else f"{max(seconds, 1)} s"


def _gathered(pictures: Iterable[SeenPicture], key: Callable[[SeenPicture], Hashable]) -> Iterable[list[SeenPicture]]:
    """The pictures grouped by key, in their own order."""
    gathered: dict[Hashable, list[SeenPicture]] = defaultdict(list)
    for picture in pictures:
        gathered[key(picture)].append(picture)
    return gathered.values()
