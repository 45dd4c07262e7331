"""Formats the rules that apply to a line of a request, each with its origin."""

from typing import Any

from collection.matching.rule_vocabulary import LAYERS
from collection.matching.rules import effective_rules, or_better
from collection.matching.wanted_words import wanted_words
from collection.quotes import listed
from collection.records.collection import Collection
from collection.records.partner import Rules
from collection.records.request import Request, RequestLine

NO_RULES = "no rules"


def rule_words(rules: Rules) -> str:
    """Rules as one line of text, in a charity's words."""
    fibre = rules.fibre
    layers = [f"{layer} of {made}" for layer in LAYERS if fibre and (made := getattr(fibre, layer))]
    words = [
        ("", listed(rules.size, "or")),
        ("shorter side ", rules.shorter_side),
        ("longer side ", rules.longer_side),
        ("width ", rules.width),
        ("length ", rules.length),
        ("best ", str(rules.ideal).replace(" x ", " × ") if rules.ideal else None),
        ("give or take ", rules.tolerance),
        ("", listed(layers)),
        *(("", words) for words in wanted_words(rules.needs, rules.no)),
        ("", _condition_words(rules)),
        ("for ", listed(rules.suits)),
    ]
    return "; ".join(f"{before}{rule}" for before, rule in words if rule) or NO_RULES


def _condition_words(rules: Rules) -> str | None:
    if rules.condition is None or rules.condition == "new":
        return rules.condition
    return f"in {rules.condition} condition{or_better(rules.condition)}"


def rules_that_hold(collection: Collection, request: Request, line: RequestLine) -> str:
    """All rules that apply to a line, as text: its own, then its charity's standing rules.

    `baby; for children. From River Street Shelter: must have a label; no buttons`
    """
    own, standing = Rules.model_construct(**_of_the_line(line)), _of_the_charity(collection, request, line)
    words = [rule_words(own)]
    charity = collection.partners.get(request.partner)
    if charity is not None and standing != Rules.model_construct():
        from_charity = f"from {charity.name}: {rule_words(standing)}"
        words = [from_charity] if words == [NO_RULES] else [*words, from_charity]
    above = collection.partners.get(charity.part_of or "") if charity is not None else None
    if above is not None and above is not charity and rule_words(above.rules) != NO_RULES:
        words.append(f"the rules of {above.name} as a whole do not apply here")
    return ". ".join(each[:1].upper() + each[1:] if number else each for number, each in enumerate(words))


def _of_the_line(line: RequestLine) -> dict[str, Any]:
    return {name: getattr(line, name) for name in Rules.model_fields if name in line.model_fields_set}


def _of_the_charity(collection: Collection, request: Request, line: RequestLine) -> Rules:
    """The charity's standing rules that the line does not replace."""
    charity = collection.partners.get(request.partner)
    if charity is None:
        return Rules.model_construct()
    effective = effective_rules(charity.rules, line)
    left = {name: getattr(effective, name) for name in Rules.model_fields if name not in line.model_fields_set}
    if line.fibre is not None and charity.rules.fibre is not None:
        layers = {layer: None for layer in LAYERS if getattr(line.fibre, layer) is not None}
        left["fibre"] = charity.rules.fibre.model_copy(update=layers)
    return Rules.model_construct(**left)
