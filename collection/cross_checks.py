"""What can only be seen across records, or against the photo folder: told beside the other problems."""

import unicodedata
from collections.abc import Iterator, Mapping

from collection.dates import EdtfDate
from collection.holdings import Collection
from collection.problems import Problem, nearest_word
from collection.records.destinations import Donated, Gifted, Promised, Staying
from collection.records.quilt import Quilt
from collection.yaml_text import Path, YamlText


def cross_check(collection: Collection, texts: Mapping[str, YamlText]) -> list[Problem]:
    """All problems of a collection that no single record shows."""
    checks = _CrossChecks(collection, texts)
    return [
        *checks.numbers(),
        *(problem for quilt in collection.quilts.values() for problem in checks.quilt(quilt)),
        *checks.partners(),
        *checks.requests(),
        *checks.promises_beyond_places(),
    ]


class _CrossChecks:
    def __init__(self, collection: Collection, texts: Mapping[str, YamlText]):
        self.collection = collection
        self.texts = texts

    def numbers(self) -> Iterator[Problem]:
        first: dict[int, Quilt] = {}
        for quilt in self.collection.quilts.values():
            if quilt.number is None:
                continue
            if quilt.number in first:
                text = self._text(quilt)
                other = first[quilt.number]
                remedy = f"{other.title} (quilts/{other.id}.yaml) has this number too. Give one of them another."
                yield text.problem(("number",), quilt.number, remedy)
            first.setdefault(quilt.number, quilt)

    def quilt(self, quilt: Quilt) -> Iterator[Problem]:
        text = self._text(quilt)
        yield from self._photos(quilt, text)
        for path, destination in _destinations(quilt):
            yield from self._partners_of(destination, path, text)
            yield from self._request_of(destination, path, text)
            yield from _order(destination, path, text)
        for index, loan in enumerate(quilt.loans):
            yield from _in_order(
                text, ("loans", index), {"from": loan.start, "due": loan.due}, "a loan is due"
            )
            yield from _in_order(
                text, ("loans", index), {"from": loan.start, "back": loan.back}, "it came back"
            )
        yield from self._loan_and_whereabouts(quilt, text)

    def partners(self) -> Iterator[Problem]:
        for partner in self.collection.partners.values():
            text = self.texts[f"partners/{partner.id}.yaml"]
            if partner.part_of is not None:
                yield from self._is_partner(partner.part_of, ("part_of",), text, kind="charity")
                if partner.part_of == partner.id:
                    yield text.problem(("part_of",), partner.part_of, "A charity is no part of itself.")
            for index, charity in enumerate(partner.acts_for):
                yield from self._is_partner(charity, ("acts_for", index), text, kind="charity")
            if partner.acts_for and partner.kind != "go-between":
                remedy = "Only a go-between acts for charities. Write kind: go-between, or leave acts_for out."
                yield text.problem(("acts_for",), None, remedy)

    def requests(self) -> Iterator[Problem]:
        for request in self.collection.requests.values():
            text = self.texts[f"requests/{request.id}.yaml"]
            yield from self._is_partner(request.partner, ("partner",), text, kind="charity")
            if request.through is not None:
                yield from self._is_partner(request.through, ("through",), text, kind="go-between")
            dates = {"asked": request.asked, "needed_by": request.needed_by}
            yield from _in_order(text, (), dates, "they are needed")
            yield from _in_order(text, (), {"asked": request.asked, "closed": request.closed}, "it was closed")

    def promises_beyond_places(self) -> Iterator[Problem]:
        taken: dict[tuple[str, str], int] = {}
        for quilt in self.collection.quilts.values():
            promise = quilt.destination
            if not isinstance(promise, Promised) or promise.request is None or promise.line is None:
                continue
            request = self.collection.requests.get(promise.request)
            line = next((line for line in request.lines if line.id == promise.line), None) if request else None
            if line is None:
                continue
            place = (promise.request, promise.line)
            taken[place] = taken.get(place, 0) + 1
            if taken[place] > line.count:
                remedy = (
                    f"The line {line.id} of {promise.request} asks for {line.count}, "
                    f"and {taken[place]} are promised to it with this one."
                )
                yield self._text(quilt).problem(
                    ("destination", "line"), promise.line, remedy, severity="warning"
                )

    def _text(self, quilt: Quilt) -> YamlText:
        return self.texts[f"quilts/{quilt.id}.yaml"]

    def _photos(self, quilt: Quilt, text: YamlText) -> Iterator[Problem]:
        seen: set[str] = set()
        for index, photo in enumerate(quilt.photos):
            path: Path = ("photos", index, "file")
            if photo.file in seen:
                yield text.problem(path, photo.file, f"{photo.file} stands twice in this list. Keep one.")
            seen.add(photo.file)
            if photo.file in self.collection.photos:
                continue
            near = _nearest_photo(photo.file, self.collection.photos)
            if near is not None and near.casefold() == photo.file.casefold():
                remedy = f"The file is spelled {near}: letter case counts on web servers. Write it so."
            elif near is not None:
                remedy = f"There is no photos/{photo.file}. Did you mean {near}?"
            else:
                remedy = f"There is no photos/{photo.file}. Put the photo there, or take this line out."
            yield text.problem(path, photo.file, remedy, severity="warning")

    def _is_partner(self, name: str, path: Path, text: YamlText, *, kind: str) -> Iterator[Problem]:
        partner = self.collection.partners.get(name)
        if partner is None:
            # A partner whose own file is not sound is told there, not here.
            if f"partners/{name}.yaml" in self.texts:
                return
            near = nearest_word(name, self.collection.partners)
            hint = f"Did you mean {near}?" if near else f"Write partners/{name}.yaml for it."
            yield text.problem(path, name, f"There is no partner {name}. {hint}")
        elif partner.kind != kind:
            article = "a go-between" if partner.kind == "go-between" else "a charity"
            other = "through" if partner.kind == "go-between" else "to"
            remedy = f"{partner.name} is {article}; here a {kind} is needed ({other}: is the field for it)."
            yield text.problem(path, name, remedy)

    def _partners_of(self, destination, path: Path, text: YamlText) -> Iterator[Problem]:
        if isinstance(destination, Promised | Donated) and destination.to is not None:
            yield from self._is_partner(destination.to, (*path, "to"), text, kind="charity")
        if isinstance(destination, Donated) and destination.meant_for is not None:
            yield from self._is_partner(destination.meant_for, (*path, "meant_for"), text, kind="charity")
        if not isinstance(destination, Staying | Gifted) and destination.through is not None:
            yield from self._is_partner(destination.through, (*path, "through"), text, kind="go-between")

    def _request_of(self, destination, path: Path, text: YamlText) -> Iterator[Problem]:
        if not isinstance(destination, Promised | Donated):
            return
        if destination.request is None:
            if destination.line is not None:
                remedy = "A line belongs to a request: name the request too."
                yield text.problem((*path, "line"), destination.line, remedy)
            return
        request = self.collection.requests.get(destination.request)
        if request is None:
            if f"requests/{destination.request}.yaml" not in self.texts:
                near = nearest_word(destination.request, self.collection.requests)
                hint = f"Did you mean {near}?" if near else f"Write requests/{destination.request}.yaml for it."
                remedy = f"There is no request {destination.request}. {hint}"
                yield text.problem((*path, "request"), destination.request, remedy)
        elif destination.line is not None and destination.line not in {line.id for line in request.lines}:
            lines = ", ".join(line.id for line in request.lines)
            remedy = f"The request {request.id} has no line {destination.line}. Its lines: {lines}."
            yield text.problem((*path, "line"), destination.line, remedy)

    def _loan_and_whereabouts(self, quilt: Quilt, text: YamlText) -> Iterator[Problem]:
        """A quilt is never in two places."""
        out = [index for index, loan in enumerate(quilt.loans) if loan.back is None]
        for index in out[:-1]:
            remedy = "It is out on two loans at once. Write back: for the one that has ended."
            yield text.problem(("loans", index), quilt.loans[index].to, remedy)
        if not out:
            return
        gone = quilt.destination
        if (
            isinstance(gone, Gifted)
            or gone.is_ == "lost"
            or (isinstance(gone, Donated) and (gone.handed_over or gone.delivered))
        ):
            remedy = "It is out on this loan and given away at the same time. Write back: for the loan."
            yield text.problem(("loans", out[-1]), quilt.loans[out[-1]].to, remedy)


def _destinations(quilt: Quilt) -> Iterator[tuple[Path, object]]:
    yield ("destination",), quilt.destination
    for index, former in enumerate(quilt.history):
        yield ("history", index), former


def _order(destination, path: Path, text: YamlText) -> Iterator[Problem]:
    if isinstance(destination, Donated):
        steps = {
            name: getattr(destination, name)
            for name in ("handed_over", "delivered", "acknowledged", "returned")
        }
        known = [(name, date) for name, date in steps.items() if date is not None]
        for (earlier, first), (later, second) in zip(known, known[1:]):
            yield from _in_order(text, path, {earlier: first, later: second}, f"it was {_words(later)}")
        if destination.acknowledged is not None and destination.delivered is None:
            remedy = "A charity acknowledges what has reached it: write delivered too, 'about' is enough."
            yield text.problem((*path, "acknowledged"), destination.acknowledged, remedy)
        if destination.delivered is not None and destination.to is None:
            remedy = "It was delivered, so say which charity has it: to."
            yield text.problem((*path, "delivered"), destination.delivered, remedy)
    elif isinstance(destination, Promised):
        yield from _in_order(text, path, {"on": destination.on, "by": destination.by}, "it should leave")
    elif isinstance(destination, Gifted):
        dates = {"on": destination.on, "returned": destination.returned}
        yield from _in_order(text, path, dates, "it came back")


def _in_order(
    text: YamlText, path: Path, dates: Mapping[str, EdtfDate | None], what: str
) -> Iterator[Problem]:
    """The second of two dates may not lie before the first; approximate ones only if surely so."""
    (first_name, first), (later_name, later) = dates.items()
    if first is not None and later is not None and later.surely_before(first):
        remedy = f"{what.capitalize()} before {_words(first_name)} ({first})? One of the two dates is wrong."
        yield text.problem((*path, later_name), later, remedy)


def _words(name: str) -> str:
    return {"from": "it began", "on": "that was promised or given", "asked": "they were asked for"}.get(
        name, name.replace("_", " ")
    )


def _nearest_photo(name: str, photos: frozenset[str]) -> str | None:
    """The photo that a misspelt name most likely means: another letter case first, then a near name."""
    folded = name.casefold()
    for photo in sorted(photos):
        if unicodedata.normalize("NFC", photo).casefold() == unicodedata.normalize("NFC", folded):
            return photo
    return nearest_word(name, photos)
