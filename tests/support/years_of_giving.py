"""Collections with gifts of every kind, to try the giving report on."""

from hypothesis import strategies as st

from collection.records.collection import Collection
from tests.support.made_records import a_charity, a_collection, a_go_between, a_quilt

YEAR = 2025
PRICES = {
    "top": "12.35", "backing": "11", "binding": "12.35", "batting": "14.99",
    "batting_packages": [{"size": "crib", "price": "9.99"}, {"size": "twin", "price": "24.50"}], "noted": "2025-01",
}  # fmt: skip
CHARITIES = (
    a_charity("river-street", qualified=True, registration="00-1", contact={"address": "1 River Street"}),
    a_charity("river-street-cots", qualified=True, part_of="river-street"),
    a_charity("hill-hospice"),
    a_charity("lyktholmen", abroad=True, qualified=True),
    a_charity("sewing-circle", qualified=False),
)
PARTNERS = (*CHARITIES, a_go_between(), a_go_between("tuesday-van", acts_for=["river-street"]))

TITLES = (
    "Patch",
    "=1+1",
    "Łódź & <b>",
    "שמיכה",
    "لحاف",
    "夜の海",
    "A very long title that goes on and on and on and will not end",
)
COSTS = (None, "0", "84.50", "0.01", "1234.99", {"items": [{"what": "Cotton", "amount": "15", "receipt": "a.jpg"}]})
SIZES = (None, "40 x 40", "60 1/2 x 72", "90 x 108", "7 1/8 x 9")
DATES = (
    None,
    "2024-12-31",
    "2025-01-01",
    "2025-03",
    "2025",
    "about 2025",
    "2024/2025",
    "2025-11-30",
    "2025-05-12",
    "2026-12-19",
)


US_OR_NONE = st.sampled_from(("us", "none"))


@st.composite
def years_of_giving(draw, *, tax_notes: st.SearchStrategy = US_OR_NONE) -> Collection:
    """Up to ten quilts, each title with a mark `q0x`, `q1x`, ... that is in no other text."""
    one_of = lambda *values: draw(st.sampled_from(values))
    quilts = []
    for number in range(draw(st.integers(0, 10))):
        fields = {
            "title": f"{one_of(*TITLES)} q{number}x",
            "finished_size": one_of(*SIZES),
            "materials_cost": one_of(*COSTS),
            "condition": one_of(None, "good", "worn"),
        }
        fields["destination"] = one_of(
            {"is": "gifted", "to": "A cousin", "on": one_of(*DATES)},
            *[_donation(one_of)] * 4,
        )
        if one_of(False, False, True):
            former = one_of({"is": "gifted", "to": "A cousin", "on": one_of(*DATES)}, _donation(one_of))
            fields["history"] = [{**former, "returned": one_of(*DATES)}]
            fields["destination"] = one_of("free", fields["destination"])
        quilts.append(a_quilt(f"quilt-{number}", **fields))
    settings = {"tax_notes": draw(tax_notes)}
    if draw(st.booleans()):
        settings["prices"] = PRICES
    return a_collection(*PARTNERS, *quilts, giving_year_starts=one_of("01-01", "01-01", "04-06"), **settings)


def _donation(one_of) -> dict:
    return {
        "is": "donated",
        "to": one_of(None, *(charity.id for charity in CHARITIES)),
        "through": one_of(None, None, "nell", "tuesday-van"),
        "set_aside_for": one_of(None, None, None, "A niece"),
        **{name: one_of(*DATES) for name in ("handed_over", "delivered", "acknowledged")},
    }
