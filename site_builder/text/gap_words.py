"""What is missing of a quilt, in the same words on pages and in the terminal."""

from collections.abc import Mapping

from collection.giving.gaps import Blocks, Gap

PURPOSES: Mapping[Blocks, str] = {"giving": "giving", "insurance": "insurance", "catalogue": "the catalogue"}

# For each field, the task for a missing fact and the name of the fact.
_FACTS = {
    "finished_size": ("Measure it", "its size"),
    "fibre.top": ("Say what the top is made of", "what the top is made of"),
    "care.washed": ("Say whether it is washed", "whether it is washed"),
    "care.label": ("Say whether a label is sewn on", "whether it has a label"),
    "condition": ("Say in what condition it is", "its condition"),
    "quilting.how": ("Say how it is quilted", "how it is quilted"),
    "destination.to": ("Ask which charity has it", "which charity has it"),
    "destination.delivered": ("Ask when it was delivered", "when it was delivered"),
    "destination.handed_over": ("Say when it was handed over", "when it was handed over"),
    "destination.on": ("Say when it was given", "when it was given"),
    "materials_cost": ("Write down what its materials cost", "what its materials cost"),
    "photos": ("Take a photo", "a photo"),
    "number": ("Give it an inventory number", "an inventory number"),
    "appraisal": ("Have it appraised, or write down what its materials cost", "an appraisal"),
    "kept_at": ("Say where it is kept", "where it is kept"),
    "title": ("Give it a title", "a title of its own"),
    "made": ("Say when it was made", "when it was made"),
    "pattern": ("Name its pattern", "its pattern"),
}


def task(gap: Gap) -> str:
    """What to do about a gap: `Measure it`."""
    return _FACTS[gap.field][0]


def missing_fact(gap: Gap) -> str:
    """What is missing: `its size`."""
    return _FACTS[gap.field][1]


def purpose(gap: Gap) -> str:
    """What its lack holds up: `the catalogue`."""
    return PURPOSES[gap.blocks]
