"""Who is among whom, against ages that laws, paediatricians and charities print.

Each source names people and the years between which they are; so it says whether one group is wholly among
another, may be, or never is. Ages count from the birthday; the upper one is no longer among them.
"""

from dataclasses import dataclass

import pytest

from collection.vocabulary.audience import agreement


@dataclass(frozen=True)
class Printed:
    people: str
    least: float
    below: float
    source: str


INFANTS = Printed("infants", 0, 1, "seen: AAP on sleep-related infant deaths, Pediatrics 150(1), 2022: under 12 months")
SMALL = Printed("young children", 1, 3, "seen: cpsc.gov, small parts: children under 3, here those who are no infants")
CHILDREN = Printed("children", 0, 13, "seen: jdsupra.com on the Consumer Product Safety Improvement Act: 12 or younger")
MINORS = Printed("children", 0, 18, "from memory: UN Convention on the Rights of the Child, article 1: below 18")
YOUTH = Printed("teens", 13, 18, "from memory: 16 CFR 312.2, where a child is under 13, and minors end at 18")
CARE_LEAVERS = Printed("care leavers", 16, 26, "seen: q4cl.org.uk: 16 to 25")
ADULTS = Printed("adults", 18, 120, "from memory: age of majority in most of the US and the UK")
VETERANS = Printed("veterans", 18, 120, "from memory: 38 USC 101(2): who served; enlistment from 17 or 18")
SENIORS = Printed("seniors", 65, 120, "from memory: Medicare and UN statistics begin at 65 or 60")

WHOLLY = [(INFANTS, CHILDREN), (SMALL, CHILDREN), (INFANTS, MINORS), (SENIORS, ADULTS), (VETERANS, ADULTS)]
PARTLY = [(CHILDREN, INFANTS), (CHILDREN, SMALL), (ADULTS, SENIORS), (CARE_LEAVERS, YOUTH), (YOUTH, CARE_LEAVERS)]
NEVER = [
    (INFANTS, YOUTH),
    (INFANTS, SENIORS),
    (CHILDREN, ADULTS),
    (ADULTS, CHILDREN),
    (SMALL, INFANTS),
    (SENIORS, YOUTH),
]


def pairs(cases):
    return pytest.mark.parametrize(("quilt", "line"), cases, ids=lambda each: each.people)


def within(quilt: Printed, line: Printed) -> bool:
    return line.least <= quilt.least and quilt.below <= line.below


def overlap(quilt: Printed, line: Printed) -> bool:
    return quilt.least < line.below and line.least < quilt.below


@pairs(WHOLLY)
def test_people_whose_ages_are_all_within_others_are_among_them(quilt, line):
    assert within(quilt, line)
    assert agreement([quilt.people], [line.people]) == "among them"


@pairs(PARTLY)
def test_people_whose_ages_only_overlap_are_to_be_checked(quilt, line):
    assert overlap(quilt, line) and not within(quilt, line)
    assert agreement([quilt.people], [line.people]) == "overlapping"


@pairs(NEVER)
def test_people_whose_ages_never_meet_are_others(quilt, line):
    assert not overlap(quilt, line)
    assert agreement([quilt.people], [line.people]) == "different"


def test_sources_that_draw_the_line_between_children_and_teens_elsewhere_leave_it_to_be_checked():
    assert not overlap(YOUTH, CHILDREN) and within(YOUTH, MINORS)
    assert agreement(["teens"], ["children"]) == agreement(["children"], ["teens"]) == "overlapping"


@pytest.mark.parametrize("kind", ["preemies", "veterans", "residents", "patients", "parents", "service members"])
def test_what_sets_people_apart_from_others_of_their_age_is_common_practice_no_source(kind):
    """A quilt for adults of any kind may do for adults of one kind; whether it does has to be checked."""
    everyone = "babies" if kind == "preemies" else "adults"
    assert agreement([everyone], [kind]) == "overlapping"
