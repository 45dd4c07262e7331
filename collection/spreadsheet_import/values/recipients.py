"""Reads who received a quilt, in the words of a sheet: `gave to cousin?`, `River St shelter`, `via Nell`, `kept`.

A partner is always one in the collection. The name of an unknown charity is kept in the destination's note, and the
charity is suggested as a new partner.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from collection.records.partner import Partner
from collection.spreadsheet_import.values.reading import LONGEST_VALUE
from collection.vocabulary.word_forms import words_of

State = Literal["kept", "free", "lost", "promised", "donated", "gifted"]
"""The states of a quilt that a sheet can state."""

Kind = State | Literal["partner", "charity", "person", "sold", "unknown"]

_STATES: Mapping[Kind, str] = {
    "kept": (
        r"kept|keep|keeping|keeper|mine|me|ours|us|home|at home|still (?:have|here|mine)"
        r"|have|i have it|we have it|in the house|not given|for me|myself|self"
    ),
    "free": (
        r"available|free|looking for a home|needs a home|to give(?: away)?|to donate|for donation"
        r"|donate|give away|give|to go|for charity|up for grabs|ready to give|can go"
    ),
    "sold": r"sold.*",
    "lost": r"lost|missing|stolen|can't find.*|cannot find.*",
    "promised": r"promised|reserved|spoken for|set aside",
    "donated": r"donated|to charity|charity|given to charity|went to charity|donation|auction|raffle",
    "gifted": r"gifted|gift|given|given away|gave away|gone|gave|present|yes|y|x|given as gift|gave it away",
    "unknown": r"\?+|unknown|don't know|not sure|n/?a|-+|–|can't remember|no idea|tbd|undecided|no|n",
}
"""The kind of recipient, or the state, that a whole cell states."""

_VERBS = re.compile(
    r"^(?:(?P<donated>donated|donation)|(?P<promised>promised|reserved|set aside|saving|spoken for)"
    r"|(?P<gifted>gave(?: it)?(?: away)?|given(?: away)?|gifted?|present|went|sent|gone|passed(?: on)?|presented))"
    r"(?:\s+(?:away\s+)?(?:to|for|by)\s+|\s*[:,-]\s*|\s+(?=[A-Z]))(?P<rest>.+)$",
    re.IGNORECASE | re.DOTALL,
)
_TO = re.compile(r"^(?:to|for)\s*:?\s+(?P<rest>.+)$", re.IGNORECASE | re.DOTALL)
_THROUGH = re.compile(
    r"^(?P<before>.*?)\s*[,(]?\s*\b(?:via|through|thru|with help of|by way of|handed to|c/o)\s+"
    r"(?P<by>[^,;()]+?)\)?(?P<after>(?:\s+(?:for|to)\s+.+)?)$",
    re.IGNORECASE | re.DOTALL,
)
_DOUBT = re.compile(
    r"\?|\b(?:maybe|perhaps|possibly|probably|i think|i guess|not sure|unsure|or was it|might be)\b", re.IGNORECASE
)
_OCCASION = re.compile(
    r"^(?P<who>.+?)\s*(?:,|;|-|–|\bfor (?:her|his|their|the)\b|\bfor\b|\bon (?:her|his|their)\b|\()\s*"
    r"(?P<occasion>(?:[a-z0-9'’]+ )?(?:wedding|marriage|birthday|graduation|christening|baptism|baby shower"
    r"|shower|christmas|xmas|retirement|anniversary|birth|housewarming|engagement|confirmation)"
    r"(?: (?:gift|present|day))?)"
    r"\s*\)?\s*(?P<year>(?:19|20)[0-9]{2})?$",
    re.IGNORECASE,
)  # fmt: skip
_YEAR_BEHIND = re.compile(r"^(?P<who>.*?\D)[\s,(]+(?:in )?(?P<year>(?:19|20)[0-9]{2})\)?$")
_WEAK = words_of("home food care red army drive fire fund trust legacy nursery project centre center")
"""Words in names of charities that are too common to identify one."""
_CHARITY_WORDS = _WEAK | words_of(
    "shelter hospice hospital charity foundation society church parish rescue refuge ward veteran nicu auction raffle "
    "school library bank orphanage mission relief guild donation clinic nursing cross outreach ministry fundraiser "
    "department police foster safehouse temple synagogue mosque unit association organisation organization thrift "
    "humane"
)
_LITTLE = {"st": "street", "rd": "road", "ave": "avenue", "hosp": "hospital", "ctr": "centre", "center": "centre"}


@dataclass(frozen=True, slots=True)
class Recipient:
    """Whom a cell names. `kind` "partner": `partner` is an ID in the collection; `through`: a go-between, if named.

    `name` is a person or charity in the words of the cell; `state` is given by a verb before it; `exact`: the cell says
    nothing else.
    """

    kind: Kind
    name: str = ""
    partner: str | None = None
    through: str | None = None
    state: State | None = None
    year: str | None = None
    occasion: str | None = None
    exact: bool = True

    @property
    def note(self) -> str | None:
        """The note of a destination whose recipient is not a partner in the collection, or None."""
        return f"For {self.name}" if self.name and self.kind != "partner" else None

    @property
    def stated(self) -> State | None:
        """The state given by a verb before the name, or by the cell as a whole."""
        match self.kind:
            case "partner" | "charity" | "person" | "sold" | "unknown":
                return self.state
            case state:
                return self.state or state


class Recipients:
    """Reads recipients for one collection. `settled` are the maker's own decisions about words in her sheet."""

    def __init__(self, partners: Iterable[Partner], settled: dict[str, Recipient] | None = None):
        partners = list(partners)
        self._go_betweens = {partner.id for partner in partners if partner.kind == "go-between"}
        self._settled = {_key(text): recipient for text, recipient in (settled or {}).items()}
        self._words = {
            partner.id: frozenset(
                filter(None, (frozenset(_partner_words(partner.name)), frozenset(_partner_words(partner.id))))
            )
            for partner in partners
        }

    def read(self, text: str) -> Recipient:
        """The recipient or state in a cell; the maker's decisions about its words, or the name in them, come first."""
        if (settled := self._settled.get(_key(text))) is not None:
            return replace(settled, name=" ".join(text.split()) if settled.name else "")
        found = self._guessed(text)
        settled = self._settled.get(_key(found.name)) if found.name else None
        if settled is None:
            return found
        return replace(found, kind=settled.kind, name=found.name if settled.name else "", partner=settled.partner,
                       through=settled.through or found.through, exact=found.exact and settled.exact)  # fmt: skip

    def _guessed(self, text: str) -> Recipient:
        if len(text) > LONGEST_VALUE:
            return Recipient("unknown", exact=False)
        bare = " ".join(text.split()).strip(" .!")
        word = bare.casefold().replace("’", "'")
        for kind, pattern in _STATES.items():
            if re.fullmatch(pattern, word):
                return Recipient(kind, exact=kind not in ("sold", "unknown") and word not in ("yes", "y", "x", "gone"))
        doubtful = bool(_DOUBT.search(bare))
        cleaned = " ".join(_DOUBT.sub(" ", bare).split()).strip(" ,;()-")
        for kind, pattern in _STATES.items():
            if doubtful and cleaned and re.fullmatch(pattern, cleaned.casefold()):
                return Recipient(kind, exact=False)
        if not cleaned:
            return Recipient("unknown", exact=False)
        return self._named(cleaned, exact=not doubtful)

    def _named(self, text: str, *, exact: bool) -> Recipient:
        state, text = _without_verb(text)
        through, text = self._without_go_between(text)
        if not text:
            return Recipient("partner", through=through, state=state, exact=exact)
        partner, whole, year = self._partner_with_year(text)
        if partner is not None:
            exact = exact and whole
            if partner in self._go_betweens:
                return Recipient("partner", through=partner, state=state, year=year, exact=exact)
            return Recipient("partner", partner=partner, through=through, state=state, year=year, exact=exact)
        if self._is_like_a_charity(text) or through or state == "donated":
            name, year = _split_year(text)
            return Recipient("charity", name=name, through=through, state=state, year=year, exact=exact)
        occasion = _OCCASION.match(text)
        if occasion:
            return Recipient("person", name=occasion["who"].strip(" ,;"), state=state, year=occasion["year"],
                             occasion=occasion["occasion"], exact=exact)  # fmt: skip
        name, year = _split_year(text)
        return Recipient("person", name=name, state=state, year=year, exact=exact)

    def _without_go_between(self, text: str) -> tuple[str | None, str]:
        """The go-between named in a text, if any, and the text without it."""
        through = None
        if (way := _THROUGH.match(text)) is not None and (by := self._partner(way["by"])) in self._go_betweens:
            through = by
            rest = (way["before"] + " " + way["after"]).strip(" ,;(")
            text = re.sub(r"^(?:for|to)\s+", "", rest, flags=re.IGNORECASE).strip()
        shared = re.match(r"^(.+?),? (?:for|to) (.+)$", text)
        if shared and (by := self._partner(shared[1])) in self._go_betweens:
            through, text = by, shared[2]
        return through, text

    def _partner_with_year(self, text: str) -> tuple[str | None, bool, str | None]:
        name, year = _split_year(text)
        if (partner := self._partner(name)) is not None:
            return partner, True, year
        if (partner := self._shortened(name)) is not None:
            return partner, False, year
        # All words of a partner's name among others, as in "the ladies at River Street Shelter".
        words = _partner_words(text)
        within = [
            (known, partner)
            for partner, names in self._words.items()
            for known in names
            if known <= words and len(known) > 1
        ]
        longest = max((len(known) for known, _ in within), default=0)
        nearest = {partner for known, partner in within if len(known) == longest}
        return (nearest.pop(), False, year) if len(nearest) == 1 else (None, False, year)

    def _partner(self, name: str) -> str | None:
        """The only partner with that name or ID, or None."""
        words = _partner_words(name)
        same = {partner for partner, names in self._words.items() if words in names} if words else set()
        return same.pop() if len(same) == 1 else None

    def _shortened(self, name: str) -> str | None:
        """The only partner whose name contains these words; a personal name alone is not enough."""
        words = _partner_words(name)
        if not words & _CHARITY_WORDS:
            return None
        part = {
            partner
            for partner, names in self._words.items()
            for known in names
            if words < known and len(words) * 2 >= len(known)
        }
        return part.pop() if len(part) == 1 else None

    @staticmethod
    def _is_like_a_charity(text: str) -> bool:
        words = words_of(text)
        known = words & _CHARITY_WORDS
        return bool(known - _WEAK) or len(known) > 1


def _without_verb(text: str) -> tuple[State | None, str]:
    """The state given by a verb at the beginning, and the text after it."""
    if (verb := _VERBS.match(text)) is not None:
        states: tuple[State, ...] = ("donated", "promised", "gifted")
        return next(state for state in states if verb[state]), verb["rest"].strip()
    if (to := _TO.match(text)) is not None:
        return None, to["rest"].strip()
    return None, text


def _split_year(text: str) -> tuple[str, str | None]:
    found = _YEAR_BEHIND.match(text)
    return (found["who"].strip(" ,;("), found["year"]) if found else (text, None)


def _partner_words(name: str) -> frozenset[str]:
    return frozenset(_LITTLE.get(word, word) for word in words_of(name))


def _key(text: str) -> str:
    return " ".join(text.casefold().split())
