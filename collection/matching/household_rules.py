"""What charities ask about the home that a quilt comes from: smoke, pets and scent.

Smoke on the cloth and a smoker in the home are two questions, and so are pet hair and pets: a charity may ask either.
What is known of the home answers the question about the cloth only in part: without pets there is no hair; with pets
there may be.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from collection.records.household import Household
from collection.records.quilt import Quilt
from collection.vocabulary.word_forms import phrase, words_of

Question = Literal["smoke", "smoking home", "pet hair", "pets", "scent", "mustiness", "odour", "allergens"]


HAVING: dict[Question, str] = {
    "smoke": "it smells of smoke",
    "smoking home": "it comes from a home where somebody smokes",
    "pet hair": "it has pet hair",
    "pets": "it comes from a home with pets",
    "scent": "it is scented",
    "mustiness": "it is musty",
    "odour": "it smells",
    "allergens": "it has allergens",
}
"""The words for a quilt where the answer is yes."""


@dataclass(frozen=True, slots=True)
class HouseholdAnswer:
    """The answer to a question: True, False, or None if not recorded; and the field that records it, or would.

    `because` words the answer where it is True.
    """

    holds: bool | None
    field: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, and whether the phrase denies it: `smoke-free home` denies "smoking home"."""

    question: Question
    denied: bool


def questions_in(text: str) -> tuple[Asked, ...]:
    """The questions in a phrase of a charity's rules; empty for phrases about other things.

    >>> questions_in("pet-free home"), questions_in("dog hair"), questions_in("buttons")
    ((Asked(question='pets', denied=True),), (Asked(question='pet hair', denied=False),), ())
    >>> [(asked.question, asked.denied) for asked in questions_in("smoke-free and pet-free home")]
    [('smoking home', True), ('pets', True)]
    """
    found = _statements(text)
    return tuple(Asked(question, denied=not holds) for question, holds in found.items())


def answer(question: Question, quilt: Quilt, household: Household) -> HouseholdAnswer:
    """The recorded answer: from the quilt's features, else its own household, else the maker's household.

    A list of features does not count as complete here: a maker who lists buttons may not think of smoke.
    """
    said: dict[Question, bool] = {}
    for text in (*quilt.features, *quilt.techniques):
        for stated, holds in _statements(text, of_a_quilt=True).items():
            said[stated] = said.get(stated, False) or holds
    return _answer(question, said, _of_quilt(quilt, household))


def _of_quilt(quilt: Quilt, household: Household) -> Household:
    own = quilt.household
    if own is None:
        return household
    return household.model_copy(update={name: getattr(own, name) for name in own.model_fields_set})


_KINDS: dict[Question, tuple[Question, ...]] = {
    "odour": ("smoke", "scent", "mustiness"),
    "allergens": ("smoke", "pet hair", "scent"),
}


def _answer(question: Question, said: dict[Question, bool], house: Household) -> HouseholdAnswer:
    if question in said:
        return HouseholdAnswer(said[question], "features", HAVING[question])
    if question in _KINDS:
        answers = [_answer(kind, said, house) for kind in _KINDS[question]]
        by_answer = {each.holds: each for each in reversed(answers)}
        return by_answer.get(True) or by_answer.get(None) or answers[0]
    match question:
        case "smoke":
            return _answer("smoking home", said, house)
        case "smoking home" if said.get("smoke"):
            return HouseholdAnswer(True, "features", HAVING["smoke"])
        case "smoking home":
            return HouseholdAnswer(house.smoke, "household.smoke", HAVING[question])
        case "pet hair":
            pets = _answer("pets", said, house)
            return HouseholdAnswer(None, "features") if pets.holds else pets
        case "pets" if said.get("pet hair"):
            return HouseholdAnswer(True, "features", HAVING["pet hair"])
        case "pets":
            return HouseholdAnswer(house.pets, "household.pets", HAVING[question])
        case "scent":
            return HouseholdAnswer(house.scent, "household.scent", HAVING[question])
        case _:
            return HouseholdAnswer(None, "features")


# Words ------------------------------------------------------------------------------------------

# Common practice, no source: the words of the rules that charities publish, and of makers' notes.
_SMOKE = words_of("smoke smoky smoker smoking cigarette cigar tobacco nicotine vape vaping marijuana cannabis")
_HAIR = words_of("hair hairs fur dander")
_ANIMALS = words_of("dog cat animal")
_SCENT = words_of(
    "scent scented fragrance fragranced fragrant perfume perfumed cologne softener sachet potpourri incense freshener "
    "aromatherapy"
)
_MUST = words_of("musty mustiness mildew mildewed mould mouldy mold moldy mothballs naphthalene")
_ODOUR = words_of("odour odor smell smelly smells odours odors")
_ALLERGENS = words_of("allergen allergens allergy allergenic")
_HOME = words_of("home house household environment residence family studio workroom owner")
_LIVES = _HOME | words_of("has have lives live own with")
_A_PICTURE = words_of("print motif theme themed design picture image grey gray blue colour color coloured panel")
"""Beside one of these words, "smoke" is a colour and "cat" is a print."""

_SPELT_APART = (
    (r"\b(smoke|pet|dog|cat|scent|fragrance|perfume|odou?r|allergen)free\b", r"\1 free"),
    (r"\bnon(smok\w+|scented|allergenic)\b", r"no \1"),
    (r"\bun(scented|perfumed)\b", r"no \1"),
    (r"\b(odou?r|scent|smell)less\b", r"no \1"),
    (r"\bhypoallergenic\b", "no allergens"),
    (r"\bdryer sheets?\b", "softener"),
    (r"\baway from\b", "without"),
)


@lru_cache(maxsize=20_000)
def _statements(text: str, *, of_a_quilt: bool = False) -> dict[Question, bool]:
    """The questions that a phrase mentions: True where it affirms, False where it denies.

    With `of_a_quilt`, the mere name of a pet is ignored, as it may be a print.
    """
    plain = text.casefold()
    for pattern, apart in _SPELT_APART:
        plain = re.sub(pattern, apart, plain)
    said = phrase(plain)
    everything = said.says | said.denies | (words_of(plain) & {"free"})
    found: dict[Question, bool] = {}
    if everything & _A_PICTURE:
        return found
    for words, holds in ((said.says, True), (said.denies, False)):
        found |= dict.fromkeys(_questions(words, everything, named_is_enough=not (of_a_quilt and holds)), holds)
    return found


def _questions(words: frozenset[str], everything: frozenset[str], *, named_is_enough: bool) -> list[Question]:
    pets = "pet" in words or bool(words & _ANIMALS and everything & (_LIVES | _HAIR | {"free"}))
    asked: dict[Question | None, bool] = {
        _about_smoke(words, everything): True,
        _about_pets(words, everything, named_is_enough=named_is_enough) if pets else None: True,
        "scent": bool(words & _SCENT),
        "mustiness": bool(words & _MUST),
        "odour": bool(words & _ODOUR and not words & (_SMOKE | _MUST) and (not pets or words & _HAIR)),
        "allergens": bool(words & _ALLERGENS),
    }
    return [question for question, is_asked in asked.items() if question is not None and is_asked]


def _about_smoke(words: frozenset[str], everything: frozenset[str]) -> Question | None:
    if not words & _SMOKE:
        return None
    in_the_house = everything & _HOME or words & {"smoker", "smoking"}
    return "smoking home" if in_the_house and not everything & _ODOUR else "smoke"


def _about_pets(words: frozenset[str], everything: frozenset[str], *, named_is_enough: bool) -> Question | None:
    if words & _HAIR:
        return "pet hair"
    return "pets" if named_is_enough or everything & _LIVES else None
