"""The words under `no` and `needs`, and the field of a quilt's record that decides each.

Charities word the same rule in many ways: each row has one word, its synonyms, and the field that decides. Words
without a row are searched for in features and techniques.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from collection.matching.household_rules import HAVING, Question, questions_in
from collection.matching.household_rules import answer as household_answer
from collection.matching.judgement import WASHED_FIRST
from collection.records.household import NOT_SAID, Household
from collection.records.quilt import Quilt
from collection.vocabulary.fibres import CLOTHS, FIBRES, OTHER_NAMES, holds, is_made_of, is_none
from collection.vocabulary.word_forms import DENIALS, phrase, words_of

DecidedBy = Literal[
    "feature",
    "cloth",
    "washed",
    "unwashed",
    "label",
    "sleeve",
    "tied",
    "quilted",
    "hand quilted",
    "machine quilted",
    "batting",
    "all cotton",
    "new",
    "household",
    "anything",
]
LAYERS = ("top", "backing", "batting")
Field = Literal["no", "needs"]
"""The fields that hold rule words."""


@dataclass(frozen=True, slots=True)
class RuleWord:
    """A word of the rules. `decided_by` is the fact that decides it; `kinds` are the things that it includes.

    `having` and `lacking` are sentences about a quilt that has it or lacks it, `put_right` is the remedy if there is
    one, `refusal` the sentence about a charity that refuses it. `question` is the one that the household answers.
    `is_quality` marks what a quilt is rather than has; `in_a_list` is the form used in lists, if different.
    """

    word: str
    decided_by: DecidedBy = "feature"
    other_names: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    layers: tuple[str, ...] = LAYERS
    having: str = ""
    lacking: str = ""
    put_right: str = ""
    refusal: str = ""
    question: Question | None = None
    is_quality: bool = False
    in_a_list: str = ""


def _asked_of_the_house(question: Question, lacking: str = "", refusal: str = "") -> RuleWord:
    return RuleWord(question, "household", having=HAVING[question], lacking=lacking, refusal=refusal, question=question)


def _is(
    word: str,
    decided_by: DecidedBy = "feature",
    other_names: tuple[str, ...] = (),
    *,
    having: str = "",
    lacking: str = "",
    put_right: str = "",
) -> RuleWord:
    """A word for what a quilt is, not what it has."""
    having, lacking = having or f"it is {word}", lacking or f"it is not {word}"
    return RuleWord(word, decided_by, other_names, having=having, lacking=lacking, put_right=put_right, is_quality=True)


_OUTSIDE = ("top", "backing")

# Common practice, no source: wordings of the rules that charities publish, and of makers' notes.
RULE_WORDS = (
    _is(
        "washed",
        "washed",
        ("pre-washed", "prewashed", "laundered"),
        having="it has been washed",
        lacking="it has not been washed",
        put_right=WASHED_FIRST,
    ),
    _is(
        "unwashed",
        "unwashed",
        ("not washed", "never washed"),
        having="it has not been washed",
        lacking="it has been washed",
    ),
    RuleWord("either", "anything", ("washed or unwashed", "washed either way")),
    RuleWord(
        "label",
        "label",
        ("labelled", "labeled", "a sewn label", "own label", "label sewn in"),
        having="it has a label",
        put_right="a label is sewn on",
    ),
    RuleWord("sleeve", "sleeve", ("hanging sleeve",), having="it has a sleeve", put_right="a sleeve is sewn on"),
    _is("tied", "tied", ("ties", "tied quilt", "tufted", "knotted", "tying")),
    _is("quilted", "quilted", ("quilting",), lacking="it is tied"),
    _is("hand quilted", "hand quilted", ("hand quilting",)),
    _is("machine quilted", "machine quilted", ("machine quilting",)),
    RuleWord("batting", "batting", ("wadding",), having="it has a batting"),
    _is("all cotton", "all cotton", ("100% cotton", "pure cotton", "cotton only", "only cotton")),
    _is("new", "new", ("new only", "unused", "brand new")),
    RuleWord("flannel", "cloth", ("flannelette",), layers=_OUTSIDE),
    RuleWord("minky", "cloth", ("minkee", "cuddle", "plush"), layers=_OUTSIDE),
    RuleWord("fleece", "cloth", ("polar fleece",)),
    RuleWord("polyester", "cloth", ("poly",)),
    RuleWord(
        "embellishments",
        other_names=("embellishment", "decorations", "trims", "trimmings", "adornments", "attachments"),
        kinds=(
            "buttons",
            "beads",
            "sequins",
            "ribbon",
            "fringe",
            "charms",
            "bells",
            "pompoms",
            "zips",
            "glitter",
            "lace",
        ),
    ),
    RuleWord("buttons"),
    RuleWord("beads", other_names=("beading", "beadwork")),
    RuleWord("ribbon", other_names=("bows",)),
    RuleWord("fringe", other_names=("fringed", "tassels")),
    RuleWord("zips", other_names=("zipper",)),
    RuleWord("rag edges", other_names=("rag quilt", "rag", "ragged edges", "frayed edges", "frayed seams")),
    _is("weighted", other_names=("weights", "weighted quilt")),
    _asked_of_the_house("smoke"),
    _asked_of_the_house(
        "smoking home", lacking="it comes from a smoke-free home", refusal="they ask for a smoke-free home"
    ),
    _asked_of_the_house("pet hair"),
    _asked_of_the_house("pets", lacking="it comes from a pet-free home", refusal="they ask for a home without pets"),
    _asked_of_the_house("scent"),
    _asked_of_the_house("mustiness"),
    _asked_of_the_house("odour"),
    _asked_of_the_house("allergens"),
    RuleWord(
        "holiday",
        other_names=("holiday themes", "seasonal", "seasonal themes"),
        kinds=("christmas", "easter", "halloween", "thanksgiving", "hanukkah", "valentine"),
        having="it is made for a holiday",
        in_a_list="holiday themes",
    ),
    _is("religious", other_names=("religion", "religious themes", "religious text")),
    _is("patriotic", other_names=("flag", "patriotic themes")),
    RuleWord("clear thread", other_names=("monofilament", "invisible thread")),
)


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether a quilt is or has what a word says: True, False, or None if not recorded.

    `field` is the field that records it, or would; `because` is a more exact sentence than the row's, or empty.
    """

    holds: bool | None
    field: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One word of `no` or `needs`, normalised to ask for something or refuse it: `needs: not tied` refuses."""

    word: str
    refused: bool

    @classmethod
    def each_of(cls, word: str, *, under: Field) -> "tuple[Wanted, ...]":
        """All that a phrase asks for: `smoke-free and pet-free home` gives two. A phrase with its own row gives one."""
        asked = questions_in(word) if _row(word) is None else ()
        if asked:
            return tuple(cls(each.question, (under == "no") != each.denied) for each in asked)
        return (cls._of(word, under),)

    @classmethod
    def _of(cls, word: str, under: Field) -> "Wanted":
        words = word.split()
        turned = len(words) > 1 and words[0] in DENIALS and _row(word) is None
        plain = " ".join(words[1:]) if turned else word
        row = _row(plain)
        return cls(row.word if row else plain, (under == "no") != turned)


def look_for(wanted: Wanted, quilt: Quilt, household: Household = NOT_SAID) -> Answer:
    """Whether the quilt is, or has, what the word says.

    A written list of features counts as complete. Without one, a refused feature counts as absent if the maker
    described the quilt (`is_described`): she would have mentioned buttons. For a required thing, and for smoke and
    other household traces, silence is no answer.
    """
    row = _row(wanted.word) or RuleWord(wanted.word)
    if row.question is not None:
        found = household_answer(row.question, quilt, household)
        return Answer(found.holds, found.field, found.because)
    answer = _look_for(row, quilt)
    if wanted.refused and answer == Answer(None, "features") and is_described(quilt):
        return Answer(False, "features")
    return answer


def meaning_of(word: str) -> RuleWord:
    """The row of a word, with its sentences filled in; words without a row get a plain one."""
    row = _row(word) or RuleWord(word)
    return replace(
        row,
        having=row.having or f"it has {row.word}",
        lacking=row.lacking or f"it has no {row.word}",
        refusal=row.refusal or f"they refuse {row.word}{' quilts' if row.is_quality else ''}",
    )


def named_by_a_rule(word: str) -> bool:
    """Whether the table has a row for a word."""
    return _row(word) is not None


def is_described(quilt: Quilt) -> bool:
    """Whether the record describes the quilt: its features, its techniques or its condition."""
    return "features" in quilt.model_fields_set or bool(quilt.techniques) or quilt.condition is not None


# Where each word is decided ------------------------------------------------------------------------


def _row(word: str) -> RuleWord | None:
    return _BY_WORDS.get(words_of(word))


def _look_for(row: RuleWord, quilt: Quilt) -> Answer:
    if row.kinds:
        kinds = (_row(kind) or RuleWord(kind) for kind in row.kinds)
        return _any_of([_feature(quilt, row), *(_look_for(kind, quilt) for kind in kinds)])
    return _LOOKS[_decided_by(row)](quilt, row)


def _decided_by(row: RuleWord) -> DecidedBy:
    if row.decided_by == "feature" and _cloth_in(row.word):
        return "cloth"
    return row.decided_by


@lru_cache(maxsize=1_000)
def _cloth_in(word: str) -> frozenset[str]:
    """The cloth or fibre in a word, without the layer: `wool` in `wool batting`."""
    words = words_of(word) - frozenset(LAYERS)
    return words if words and words <= _CLOTH_WORDS else frozenset()


def _feature(quilt: Quilt, row: RuleWord) -> Answer:
    mentioned = _mentioned(quilt, row)
    if mentioned is not None:
        return Answer(mentioned, "features")
    return Answer(False if "features" in quilt.model_fields_set else None, "features")


def _mentioned(quilt: Quilt, row: RuleWord) -> bool | None:
    """Whether a feature, technique or colour names it (True) or denies it (False); None if none mentions it."""
    names = [words_of(name) for name in (row.word, *row.other_names)]
    phrases = [phrase(text) for text in (*quilt.features, *quilt.techniques, *quilt.colours)]
    if any(name <= said.says for name in names for said in phrases):
        return True
    return False if any(name <= said.denies for name in names for said in phrases) else None


def _cloth(quilt: Quilt, row: RuleWord) -> Answer:
    """Decided by a feature, else by the fibre of the layers that it may be in."""
    mentioned = _mentioned(quilt, row)
    if mentioned is not None:
        return Answer(mentioned, "features")
    named = [layer for layer in LAYERS if layer in words_of(row.word)]
    layers = named or row.layers
    word = " ".join(sorted(_cloth_in(row.word)))
    return _any_of([_in_layer(quilt, layer, word) for layer in layers])


def _in_layer(quilt: Quilt, layer: str, word: str) -> Answer:
    text = getattr(quilt.fibre, layer) if quilt.fibre else None
    return Answer(None if text is None else holds(text, word), f"fibre.{layer}")


def _all_cotton(quilt: Quilt, row: RuleWord) -> Answer:
    texts = {layer: getattr(quilt.fibre, layer) if quilt.fibre else None for layer in LAYERS}
    answers = [
        Answer(None if text is None else is_none(text) or is_made_of(text, "cotton"), f"fibre.{layer}")
        for layer, text in texts.items()
    ]
    other = _any_of([Answer(None if each.holds is None else not each.holds, each.field) for each in answers])
    return Answer(None if other.holds is None else not other.holds, other.field)


def _batting(quilt: Quilt, row: RuleWord) -> Answer:
    text = quilt.fibre.batting if quilt.fibre else None
    return Answer(None if text is None else not is_none(text), "fibre.batting")


def _washed(quilt: Quilt, row: RuleWord) -> Answer:
    washed = quilt.care.washed if quilt.care else None
    return Answer(None if washed is None else washed is not False, "care.washed")


def _unwashed(quilt: Quilt, row: RuleWord) -> Answer:
    washed = _washed(quilt, row)
    return Answer(None if washed.holds is None else not washed.holds, washed.field)


def _label(quilt: Quilt, row: RuleWord) -> Answer:
    return Answer(quilt.care.label if quilt.care else None, "care.label")


def _sleeve(quilt: Quilt, row: RuleWord) -> Answer:
    return Answer(quilt.care.sleeve if quilt.care else None, "care.sleeve")


def _new(quilt: Quilt, row: RuleWord) -> Answer:
    return Answer(None if quilt.condition is None else quilt.condition == "new", "condition")


def _how(quilt: Quilt) -> str | None:
    """How the layers are held together; a quilt with ties counts as tied, even if also quilted."""
    if _mentioned(quilt, _BY_WORDS[words_of("tied")]):
        return "tied"
    return quilt.quilting.how if quilt.quilting else None


def _quilting(*ways: str) -> Callable[[Quilt, RuleWord], Answer]:
    def look(quilt: Quilt, row: RuleWord) -> Answer:
        how = _how(quilt)
        return Answer(_mentioned(quilt, row) if how is None else how in ways, "quilting.how")

    return look


def _anything(quilt: Quilt, row: RuleWord) -> Answer:
    return Answer(True, "")


def _any_of(answers: list[Answer]) -> Answer:
    """The first answer that is True; else the first that is None; else the first."""
    by_answer: dict[bool | None, Answer] = {}
    for answer in answers:
        by_answer.setdefault(answer.holds, answer)
    return by_answer.get(True) or by_answer.get(None) or answers[0]


_LOOKS: dict[DecidedBy, Callable[[Quilt, RuleWord], Answer]] = {
    "feature": _feature,
    "cloth": _cloth,
    "washed": _washed,
    "unwashed": _unwashed,
    "label": _label,
    "sleeve": _sleeve,
    "tied": _quilting("tied"),
    "quilted": _quilting("hand", "domestic machine", "longarm"),
    "hand quilted": _quilting("hand"),
    "machine quilted": _quilting("domestic machine", "longarm"),
    "batting": _batting,
    "all cotton": _all_cotton,
    "new": _new,
    "anything": _anything,
}


def _rows_by_words() -> Iterator[tuple[frozenset[str], RuleWord]]:
    for row in RULE_WORDS:
        for name in (row.word, *row.other_names):
            yield words_of(name), row


_BY_WORDS = dict(_rows_by_words())
_CLOTH_WORDS = (
    frozenset(FIBRES) | frozenset(OTHER_NAMES) | {name for cloth in CLOTHS for name in (cloth.name, *cloth.other_names)}
)
