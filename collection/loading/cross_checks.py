"""Checks that need more than one record, or the photo folder.

The names in a record are checked even if another of its fields is invalid, so that one run reports all problems.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from collection.loading.chronology import check_loans, check_order_of_destinations, check_request_dates, check_steps
from collection.loading.sizes_in_doubt import check_units
from collection.problems import Problem, choices, nearest_word
from collection.quotes import quoted
from collection.records.collection import Collection, charities_above
from collection.records.destinations import Destination, Donated, Lost, Promised
from collection.records.partner import Partner, Rules
from collection.records.places_taken import Answers
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.sizes.tables import find_box
from collection.yaml_files.parser import Path, YamlText

Texts = Mapping[str, YamlText]


def cross_check(collection: Collection, texts: Texts, partial: Collection | None = None) -> list[Problem]:
    """All problems of a collection that no single field shows.

    `partial` holds the invalid records, each with its valid fields.
    """
    whole = _merged(collection, partial) if partial else collection
    return [
        *_Lookups(whole, texts).problems(),
        *_impossible(collection, texts),
        *_promises_beyond_places(collection, texts),
        *check_units(whole, texts),
    ]


def _merged(collection: Collection, partial: Collection) -> Collection:
    return replace(
        collection,
        quilts=dict(sorted({**collection.quilts, **partial.quilts}.items())),
        partners=dict(sorted({**collection.partners, **partial.partners}.items())),
        requests=dict(sorted({**collection.requests, **partial.requests}.items())),
    )


def _impossible(collection: Collection, texts: Texts) -> Iterator[Problem]:
    for quilt in collection.quilts.values():
        text = texts[f"quilts/{quilt.id}.yaml"]
        for path, destination in _destinations(quilt):
            yield from check_steps(quilt, destination, path, text)
        yield from check_order_of_destinations(quilt, text)
        yield from check_loans(quilt, text)
    for request in collection.requests.values():
        yield from check_request_dates(request, texts[f"requests/{request.id}.yaml"])


def _destinations(quilt: Quilt) -> Iterator[tuple[Path, Destination]]:
    yield ("destination",), quilt.destination
    for index, former in enumerate(quilt.history):
        yield ("history", index), former


def _promises_beyond_places(collection: Collection, texts: Texts) -> Iterator[Problem]:
    """Report promises beyond the number that a line asks for, after the quilts already given."""
    answers = Answers.of(collection)
    for request in collection.requests.values():
        for line in request.lines:
            taken = answers.to(request.id, line.id)
            for count, quilt in enumerate(taken.promised, start=len(taken.given) + 1):
                if count > line.count:
                    asked = f"The line {line.id} of {request.id} asks for {line.count}"
                    remedy = f"{asked}, and with this quilt {count} are promised or given."
                    path = ("destination", "line")
                    text = texts[f"quilts/{quilt.id}.yaml"]
                    yield text.problem(path, text.value(path), remedy, severity="warning")


class _Lookups:
    """Checks that what records name exists: partners, requests, lines, sizes and photos; and that numbers are unique."""

    def __init__(self, collection: Collection, texts: Texts):
        self.collection = collection
        self.texts = texts

    def problems(self) -> Iterator[Problem]:
        quilts = self.collection.quilts.values()
        yield from self._numbers()
        yield from self._names()
        yield from _PhotoLookups(self.collection.photos).problems(
            (quilt, self.texts[f"quilts/{quilt.id}.yaml"]) for quilt in quilts
        )
        for quilt in quilts:
            text = self.texts[f"quilts/{quilt.id}.yaml"]
            for path, destination in _destinations(quilt):
                yield from self._partners_of(destination, path, text)
                yield from self._request_of(destination, path, text)
        for partner in self.collection.partners.values():
            yield from self._partner(partner, self.texts[f"partners/{partner.id}.yaml"])
        for request in self.collection.requests.values():
            yield from self._request(request, self.texts[f"requests/{request.id}.yaml"])

    def _names(self) -> Iterator[Problem]:
        """Report names that two quilts or two partners share, ignoring letter case and spaces; it may be intended."""
        quilts = {
            f"quilts/{each.id}.yaml": ("title", each.title, each.also_called)
            for each in self.collection.quilts.values()
        }
        partners = {f"partners/{each.id}.yaml": ("name", each.name, ()) for each in self.collection.partners.values()}
        for what, files in (("quilt", quilts), ("charity or go-between", partners)):
            by_name: dict[str, list[str]] = {}
            for file, (_, name, others) in files.items():
                for each in {plain_name(name), *map(plain_name, others)}:
                    by_name.setdefault(each, []).append(file)
            for file, (field, name, _) in files.items():
                other = next((each for each in by_name[plain_name(name)] if each != file), None)
                if other is not None:
                    remedy = (
                        f"Another {what} is called that too: {files[other][1]} ({other}). "
                        f"If they are two, a word more in the {field} would tell them apart."
                    )
                    yield self.texts[file].problem((field,), name, remedy, severity="warning")

    def _numbers(self) -> Iterator[Problem]:
        first: dict[int, Quilt] = {}
        for quilt in self.collection.quilts.values():
            if quilt.number is None:
                continue
            other = first.setdefault(quilt.number, quilt)
            if other is not quilt:
                remedy = f"{other.title} (quilts/{other.id}.yaml) has this number too. Give one of them another."
                yield self.texts[f"quilts/{quilt.id}.yaml"].problem(("number",), quilt.number, remedy)

    # Partners and requests themselves ---------------------------------------------------------

    def _partner(self, partner: Partner, text: YamlText) -> Iterator[Problem]:
        if partner.part_of is not None:
            yield from self._charity(partner.part_of, ("part_of",), text)
            yield from self._ring(partner, text)
        for index, charity in enumerate(partner.acts_for):
            path = ("acts_for", index)
            if charity == partner.id:
                yield text.problem(path, charity, "A partner doesn't act for itself. Take this out, or name a charity.")
            elif charity in partner.acts_for[:index]:
                yield text.problem(path, charity, "This charity stands twice in this list. Keep one.")
            else:
                yield from self._charity(charity, path, text)
        if partner.acts_for and partner.kind != "go-between":
            remedy = "Only a go-between acts for charities. Write kind: go-between, or take acts_for out."
            yield text.problem(("acts_for",), None, remedy)
        yield from self._sizes(partner.rules, ("rules",), text)

    def _ring(self, partner: Partner, text: YamlText) -> Iterator[Problem]:
        """Report a charity that is part of itself, directly or through others."""
        above = charities_above(partner, self.collection.partners)
        if partner.id not in above:
            return
        remedy = "A charity can't be a part of itself. Take this out, or name the larger one."
        if partner.part_of != partner.id:
            others = " and ".join(self.collection.partners[each].name for each in above[: above.index(partner.id)])
            remedy = (
                f"{partner.name} would be a part of itself, by way of {others}. Take this out in one of their files."
            )
        yield text.problem(("part_of",), partner.part_of, remedy)

    def _request(self, request: Request, text: YamlText) -> Iterator[Problem]:
        yield from self._charity(request.partner, ("partner",), text, instead="through")
        if request.through is not None:
            yield from self._go_between(request.through, ("through",), text, instead="partner")
        first: dict[str, int] = {}
        for index, line in enumerate(request.lines):
            yield from self._sizes(line, ("lines", index), text)
            path = ("lines", index, "id")
            if first.setdefault(line.id, index) != index:
                earlier = text.line(("lines", first[line.id]))
                remedy = f"The line of the request on line {earlier} has this id too. Give each its own."
                yield text.problem(path, line.id, remedy)

    def _sizes(self, rules: Rules, path: Path, text: YamlText) -> Iterator[Problem]:
        boxes = self.collection.size_boxes
        for index, word in enumerate(rules.size):
            if find_box(word, boxes) is None:
                known = [box.key for box in boxes]
                none = "The table of sizes in collection.yaml has none; name them there."
                right = choices(word, known) if known else none
                remedy = f"No quilt is of the size {quoted(word)}. {right}"
                yield text.problem((*path, "size", index), word, remedy, severity="warning")

    # What a destination names -----------------------------------------------------------------

    def _partners_of(self, destination: Destination, path: Path, text: YamlText) -> Iterator[Problem]:
        if isinstance(destination, Promised | Donated) and destination.to is not None:
            yield from self._charity(destination.to, (*path, "to"), text, instead="through")
        if isinstance(destination, Donated) and destination.meant_for is not None:
            yield from self._charity(destination.meant_for, (*path, "meant_for"), text)
            if destination.meant_for == destination.to:
                remedy = (
                    "It went to the charity that it was meant for, so nothing is to be said here. "
                    "Take this out, or name the other charity."
                )
                yield text.problem((*path, "meant_for"), destination.meant_for, remedy)
        if isinstance(destination, Promised | Donated | Lost) and destination.through is not None:
            yield from self._go_between(destination.through, (*path, "through"), text, instead="to")

    def _charity(self, name: str, path: Path, text: YamlText, *, instead: str = "") -> Iterator[Problem]:
        return self._is_partner(name, path, text, "charity", instead)

    def _go_between(self, name: str, path: Path, text: YamlText, *, instead: str = "") -> Iterator[Problem]:
        return self._is_partner(name, path, text, "go-between", instead)

    def _is_partner(self, name: str, path: Path, text: YamlText, kind: str, instead: str) -> Iterator[Problem]:
        partner = self.collection.partners.get(name)
        if partner is not None:
            if partner.kind != kind:
                remedy = f"{partner.name} is a {partner.kind}, and a {kind} is needed here."
                if instead:
                    remedy += f" Write it under {instead}."
                yield text.problem(path, name, remedy)
        # A file that can't be read is already reported.
        elif f"partners/{name}.yaml" not in self.texts:
            near = self._partner_named(name) or nearest_word(name, self.collection.partners)
            yield text.problem(path, name, f"There is no partner {quoted(name)}. {_or_begin(near, 'partners')}")

    def _partner_named(self, words: str) -> str | None:
        """The ID of the partner with that name; None if there is none."""
        name = words.casefold()
        return next((p.id for p in self.collection.partners.values() if p.name.casefold() == name), None)

    def _request_of(self, destination: Destination, path: Path, text: YamlText) -> Iterator[Problem]:
        if not isinstance(destination, Promised | Donated):
            return
        if destination.request is None:
            if destination.line is not None:
                remedy = "A line belongs to a request. Write under request which one."
                yield text.problem((*path, "line"), destination.line, remedy)
            return
        request = self.collection.requests.get(destination.request)
        if request is None:
            if f"requests/{destination.request}.yaml" not in self.texts:
                near = nearest_word(destination.request, self.collection.requests)
                remedy = f"There is no request {quoted(destination.request)}. {_or_begin(near, 'requests')}"
                yield text.problem((*path, "request"), destination.request, remedy)
            return
        if destination.line is not None and request.line(destination.line) is None:
            lines = choices(destination.line, [line.id for line in request.lines])
            remedy = f"{request.id} has no line {quoted(destination.line)}. {lines}"
            yield text.problem((*path, "line"), destination.line, remedy)
        yield from self._asked_for_by_another(destination, request, path, text)

    def _asked_for_by_another(
        self, destination: Promised | Donated, request: Request, path: Path, text: YamlText
    ) -> Iterator[Problem]:
        charity = self.collection.partners.get(destination.to or "")
        asking = self.collection.partners.get(request.partner)
        if charity is None or asking is None or charity is asking:
            return
        # A programme may ask and its parent charity receive, or the other way round.
        above_asking = charities_above(asking, self.collection.partners)
        if asking.id in charities_above(charity, self.collection.partners) or charity.id in above_asking:
            return
        if isinstance(destination, Donated):
            if destination.meant_for in (asking.id, *above_asking):
                return
            hint = f" If it was meant for them and went elsewhere, write meant_for: {asking.id}."
        else:
            hint = f" Write to: {asking.id}, or another request."
        remedy = f"{request.id} is a request of {asking.name}, and this quilt goes to {charity.name}.{hint}"
        yield text.problem((*path, "request"), destination.request, remedy)


def _or_begin(near: str | None, folder: str) -> str:
    if near is not None:
        return f"Did you mean {near}?"
    return f"Begin a file for it in {folder}/, and write the file's name here, without .yaml."


# Photos -----------------------------------------------------------------------------------------

# If more photos are missing, they are not in the folder yet, and similar names don't help.
_MOST_TO_COMPARE = 25


class _PhotoLookups:
    """Finds the photos that quilts name among the files on disk."""

    def __init__(self, photos: Iterable[str]):
        self.photos = frozenset(photos)
        self.by_small_letters = {_small(photo): photo for photo in sorted(self.photos, reverse=True)}
        self.missing = 0

    def problems(self, quilts: Iterable[tuple[Quilt, YamlText]]) -> Iterator[Problem]:
        for quilt, text in quilts:
            seen: set[str] = set()
            for index, photo in enumerate(quilt.photos):
                path: Path = ("photos", index, "file")
                if photo.file in seen:
                    yield text.problem(path, photo.file, "This photo stands twice in this list. Keep one.")
                elif photo.file not in self.photos:
                    self.missing += 1
                    yield text.problem(path, photo.file, self._where_is(photo.file), severity="warning")
                seen.add(photo.file)

    def _where_is(self, name: str) -> str:
        if (below := name.removeprefix("photos/")) in self.photos:
            return f"Names begin below the folder photos/. Write {below}."
        same = self.by_small_letters.get(_small(name))
        if same is not None and unicodedata.normalize("NFC", same) == unicodedata.normalize("NFC", name):
            return (
                f"The file photos/{same} is there, but its accented letters are stored in another way. "
                "Rename the file: type its name anew."
            )
        if same is not None:
            return f"The file is called {same}, and a web server minds capitals. Write it so."
        near = self._near(name) if self.missing <= _MOST_TO_COMPARE else None
        if near is not None:
            return f"There is no photos/{name}. Did you mean {near}?"
        return f"There is no photos/{name}. Put the photo there, or take this line out."

    def _near(self, name: str) -> str | None:
        """The photo that a misspelt name most likely means; its digits must be the same."""
        figures = re.findall(r"\d+", name)
        near = nearest_word(name, self.photos)
        return near if near is not None and re.findall(r"\d+", near) == figures else None


def plain_name(name: str) -> str:
    """A name for comparison, without differences in letter case and spaces."""
    return " ".join(name.casefold().split())


def _small(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()
