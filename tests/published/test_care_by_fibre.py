"""What each fibre bears in the wash, against published advice. Each row names its source and how far it was looked into;
where there is none it is called common practice. Publications differ: the gentler advice is taken."""

import pytest

from collection.care.washing import DRY, IRON, TABLE, WASH, care_line
from tests.support.made_records import a_quilt

# Fibre, and the most that its source allows of washing, drying and ironing.
PUBLISHED = [
    ("cotton", "machine", "tumble", "warm"),  # Seen: oama.co; fabricandfibres.com; qovf.org: cold, mild, low.
    ("80/20 cotton and polyester", "machine", "tumble", "cool"),  # Seen: supersavvyme.co.uk, fabricandfibres.com.
    ("linen", "machine", "air", "warm"),  # Seen: fabricandfibres.com; shopsohoboutique.com: cool, air dry.
    ("wool", "hand", "flat", "none"),  # Seen: quilttrailswnc.org; flamentex.es. Ironing from memory.
    ("silk", "hand", "flat", "none"),  # Seen: allbrands.com; hamelsthread.com; oama.co. Ironing from memory.
    ("velvet", "spot", "flat", "none"),  # Seen: rainbowhomefashion.com: blot; by its label. Ironing from memory.
    ("minky", "machine", "no heat", "none"),  # Seen: softminkyblankets.com; magicalminkies.com.
    ("polyester", "machine", "tumble", "cool"),  # Seen: fabricandfibres.com: low, it melts.
    ("flannel", "machine", "tumble", "warm"),  # Seen: tallpaulstallmall.com.
    ("vintage", "spot", "flat", "none"),  # Seen: quiltmuseum.org/care: not at home.
    ("rayon", "hand", "flat", "cool"),  # Common practice, no source.
    ("lace", "hand", "flat", "none"),  # Common practice, no source.
    ("leather", "spot", "flat", "none"),  # Common practice, no source.
    ("sequin", "hand", "flat", "none"),  # Common practice, no source.
]


@pytest.mark.parametrize(("fibre", "wash", "dry", "iron"), PUBLISHED)
def test_no_more_is_said_than_the_source_allows(fibre, wash, dry, iron):
    line = care_line(a_quilt(fibre={"top": fibre, "backing": fibre, "batting": fibre})).full
    said = [
        next(step for step in ("spot", "hand", "machine") if step in line.lower()),
        next(step for step, words in (("flat", "Dry flat"), ("no heat", "without heat"), ("tumble", "Tumble"), ("air", "Line dry")) if words in line),
        next(step for step, words in (("none", "Do not iron"), ("cool", "Cool iron"), ("warm", "Warm iron")) if words in line),
    ]  # fmt: skip
    assert said == [wash, dry, iron]


@pytest.mark.parametrize("row", TABLE, ids=lambda row: min(row.words))
def test_every_row_names_its_source_or_says_that_it_has_none(row):
    assert row.source.startswith(("seen: ", "from memory: ", "common practice, no source"))
    assert row.wash in WASH and row.dry in DRY and row.iron in IRON


def test_bleach_is_allowed_on_nothing():
    # Seen: oama.co: no chlorine on colours; softminkyblankets.com: none on plush.
    for row in TABLE:
        for word in row.words:
            assert "No bleach." in care_line(a_quilt(fibre={"top": word})).full
