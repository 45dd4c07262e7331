"""What is cautioned about, against published guidance and published requests. Each names its source and how far it was
looked into. Countries differ (the UK accepts a thin blanket that is tucked in, the US bare surfaces alone); a quilt is
named by all of them, and each sentence leaves the last word to the guidance of the place."""

import pytest

from collection.care.cautions import CAUTIONS, cautions
from tests.support.made_records import a_charity, a_collection, a_quilt

SENTENCES = {caution.key: caution.sentence for caution in CAUTIONS}


@pytest.mark.parametrize(
    ("key", "bound"),
    [
        # Seen: AAP statement of 2022, Pediatrics 150(1) e2022057990 (US); the Lullaby Trust's Product Guide, copied (UK);
        # thesleepstore.co.nz (NZ and Australia): no quilts in the first year.
        ("infant sleep", "under 12 months"),
        # Seen: cpsc.gov on small parts, 16 CFR 1501: articles for children under 3; bedding is not on its list of exceptions.
        ("small parts", "under three"),
        # Seen: AAP, and the CPSC commissioner's statement of 15 April 2024: no weighted item on or near an infant.
        ("weighted", "never for a baby"),
        # Seen: three sources, one citing the Royal College of Occupational Therapists (2019): not under 3; others say 2, 4.
        ("weighted", "under three without a therapist's advice"),
    ],
)
def test_the_bounds_of_age_are_those_of_the_guidance(key, bound):
    assert bound in SENTENCES[key]


@pytest.mark.parametrize(("key", "words"), [("infant sleep", "local safe-sleep guidance"), ("small parts", "ask the charity"),
    ("wheels", "ask the person or the care staff"), ("restraint", "ask the care staff"), ("weighted", "ask those who care")])  # fmt: skip
def test_each_defers_to_those_who_know(key, words):
    assert words in SENTENCES[key]


def of_request(size, rules, **quilt) -> set[str]:
    made = a_quilt(finished_size=size, destination={"is": "promised", "to": "river-street"}, **quilt)
    found = cautions(a_collection(made, a_charity(rules=rules)), made)
    return {("if a baby" if each.sentence.startswith("If it") else each.key) for each in found}


PUBLISHED_REQUESTS = [
    # Seen: victoriaquiltersguild.org: NICU, 32-35 x 42-44.
    ("33 x 43", {"suits": ["NICU babies"]}, {}, {"infant sleep"}),
    # Seen: Project Linus, Wilson County: infant 36 x 36.
    ("36 x 36", {"suits": ["infants"], "no": ["buttons"]}, {}, {"infant sleep"}),
    # Seen: sheboyganquiltersguild.org: wheelchair, 32-36 x 36-42, for those in care homes.
    ("36 x 42", {"suits": ["nursing home residents"], "size": ["wheelchair lap"]}, {}, {"wheels"}),
    # Seen: a hospice of Fort Wayne: fidget quilts of 24 x 24, with zips, buttons and beads wanted, for the old.
    ("24 x 24", {"suits": ["seniors"], "needs": ["buttons"]}, {"features": ["buttons", "zips", "beads"]}, set()),
    # Seen: beartownpandq.co.uk, q4cl.org.uk: care leavers of 16 to 25, 44 x 70.
    ("44 x 70", {"suits": ["care leavers"]}, {}, set()),
    # Seen: desmoinesmqg.blogspot.com (2013): foster care, 45 x 45 from birth to two, 54 x 72 from 12 to 18.
    ("45 x 45", {"suits": ["babies", "toddlers"]}, {"features": ["buttons"]}, {"infant sleep", "small parts"}),
    ("54 x 72", {"suits": ["teens"]}, {"features": ["buttons"]}, set()),
    # Seen: forum.missouriquiltco.com on a charity for children up to 18: at least 20 x 20.
    ("20 x 20", {"suits": ["children"]}, {}, {"if a baby"}),
    # Seen: ebhq.org: about 36 x 36, nobody says here for whom. "If it goes to a baby" is our own judgement, for safety.
    ("36 x 36", {}, {}, {"if a baby"}),
]


@pytest.mark.parametrize(("size", "rules", "quilt", "expected"), PUBLISHED_REQUESTS)
def test_published_requests_get_the_cautions_of_those_whom_they_are_for(size, rules, quilt, expected):
    assert of_request(size, rules, **quilt) == expected
