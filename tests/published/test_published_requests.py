"""What charities have published that they ask for, each with quilts just inside and just outside every rule.

The requests are test data, not live advice: charities change their rules, and chapters of one charity differ. Each
names its source and how far it was looked into: seen (in the source), derived, from memory. What a source leaves
open is left open here too; `derived` says where a rule is our reading of its words.
"""

from dataclasses import dataclass, field
from datetime import date

import pytest

from collection.records.partner import Rules
from collection.records.quilt import Quilt
from collection.rules import Judgement, judge

ON = date(2026, 4, 1)


@dataclass(frozen=True)
class Published:
    """A request: its rules, a quilt that they suit (the sizes in `inside` one after the other), and what is outside.

    `outside` has sizes with the words that the miss has to have; `refused` and `unrecorded` change one fact of the
    quilt: the first has to be missed with these words, the second to be checked in this field.
    """

    name: str
    source: str
    rules: dict
    inside: tuple[str, ...]
    outside: tuple[tuple[str, str], ...] = ()
    refused: tuple[tuple[dict, str], ...] = ()
    welcome: tuple[dict, ...] = ()
    unrecorded: tuple[tuple[str, str], ...] = ()
    quilt: dict = field(default_factory=dict)


COTTON = {"top": "cotton", "backing": "cotton", "batting": "cotton"}
SOUND = {
    "techniques": ["pieced"],
    "quilting": "domestic machine",
    "fibre": COTTON,
    "condition": "new",
    "suits": ["anyone"],
    "care": {"washed": True, "label": True},
    "household": {"smoke": False, "pets": False, "scent": False},
}
UNWASHED = {"care": {"washed": False, "label": True}}

PUBLISHED = (
    Published(
        "Quilts of Valor Foundation (US)",
        "seen: qovf.org/basic-requirements: at least 55 x 65, ideal 60 x 80, at most 72 x 90; quilted, not tied; "
        "all cotton; label; washed",
        {
            "shorter_side": "55 to 72", "longer_side": "65 to 90", "ideal": "60 x 80",
            "fibre": COTTON, "no": ["tied"], "needs": ["label", "washed"],
        },
        inside=("55 x 65", "60 x 80", "72 x 90", "90 x 72"),
        outside=(
            ("54 7/8 x 65", "1/8 in too narrow"), ("55 x 64 1/2", "1/2 in too short"),
            ("72 1/2 x 90", "1/2 in too wide"), ("72 x 91", "1 in too long"),
        ),
        refused=(
            ({"quilting": "tied"}, "it is tied"),
            (UNWASHED, "it has not been washed"),
            ({"care": {"washed": True, "label": False}}, "it has no label"),
            ({"fibre": {**COTTON, "batting": "polyester"}}, "its batting is polyester"),
        ),
        unrecorded=(("quilting", "quilting.how"), ("fibre", "fibre.top"), ("care", "care.label")),
    ),
    Published(
        "Quilts of Valour (Canada)",
        "seen: etobicokequiltersguild.com/size-guidelines: at least 55 x 70, at most 72 x 84; not washed; "
        "binding joined on the diagonal",
        {
            "shorter_side": "55 to 72", "longer_side": "70 to 84", "needs": ["unwashed", "diagonal binding joins"],
        },
        inside=("55 x 70", "72 x 84"),
        outside=(("55 x 69 7/8", "1/8 in too short"), ("72 x 84 1/8", "1/8 in too long")),
        refused=(({"care": {"washed": "2026-03"}}, "it has been washed"),),
        unrecorded=(("care", "care.washed"), ("features", "features")),
        quilt={**UNWASHED, "features": ["diagonal binding joins"]},
    ),
    Published(
        "Quilts of Honor (US)",
        "seen: quiltsofhonor.org/quilters: at least 50 x 60, at most 60 x 70; all cotton; patriotic, nothing juvenile",
        {
            "shorter_side": "50 to 60", "longer_side": "60 to 70", "fibre": COTTON,
            "needs": ["patriotic"], "no": ["juvenile", "florals"],
        },
        inside=("50 x 60", "60 x 70", "60 x 60"),
        outside=(("49 x 60", "1 in too narrow"), ("60 x 70 1/2", "1/2 in too long")),
        refused=(
            ({"features": ["patriotic", "juvenile print"]}, "it has juvenile"),
            ({"features": []}, "it is not patriotic"),
            ({"fibre": {**COTTON, "backing": "fleece"}}, "its backing is fleece"),
        ),
        quilt={"features": ["flag"]},
    ),
    Published(
        "Wrap-A-Smile, for a child",
        "seen: wrapasmilequilts.blogspot.com: 40 x 48; machine quilted; no white backs, nothing religious, "
        "patriotic or of a holiday, no buttons, beads or ribbons; derived: within 1 in",
        {
            "ideal": "40 x 48", "tolerance": "1", "needs": ["machine quilted"],
            "no": ["white backing", "religious", "patriotic", "holiday", "buttons", "beads", "ribbons"],
        },
        inside=("40 x 48", "41 x 49", "39 x 47"),
        outside=(("38 7/8 x 48", "1 1/8 in too narrow"), ("40 x 49 1/4", "1 1/4 in too long")),
        refused=tuple(
            ({"features": [word]}, "it ") for word in ("white backing", "Christmas", "flag", "ribbon", "beads", "buttons")
        ) + (({"quilting": "hand"}, "it is not machine quilted"),),
        welcome=({"quilting": "longarm"},),
    ),
    Published(
        "Quilts for Kids, Salt Lake chapter",
        "seen: quiltsforkidsslc.org, 2017: 36 x 44 up to a twin; all new cotton; no flannel, no fleece, no clear "
        "thread; derived: a twin is at most 72 x 96",
        {
            "shorter_side": "36 to 72", "longer_side": "44 to 96",
            "fibre": {"top": "cotton", "backing": "cotton"}, "no": ["flannel", "fleece", "clear thread"],
        },
        inside=("36 x 44", "72 x 96"),
        outside=(("35 x 44", "1 in too narrow"), ("36 x 43", "1 in too short")),
        refused=(
            ({"fibre": {**COTTON, "backing": "flannel"}}, "it has flannel"),
            ({"features": ["flannel"]}, "it has flannel"),
            ({"fibre": {**COTTON, "backing": "fleece"}}, "it has fleece"),
            ({"features": ["monofilament"]}, "it has clear thread"),
        ),
        unrecorded=(("fibre", "fibre.top"),),
    ),
    Published(
        "Quilts for Kids, through a shop's page",
        "seen: cozycolorquilts.net: 38-40 x 45-46; no ties, no rag quilts; washed",
        {"shorter_side": "38 to 40", "longer_side": "45 to 46", "no": ["ties", "rag quilts"], "needs": ["washed"]},
        inside=("38 x 45", "40 x 46"),
        outside=(("37 7/8 x 45", "1/8 in too narrow"), ("40 x 46 1/8", "1/8 in too long")),
        refused=(({"quilting": "tied"}, "it is tied"), ({"techniques": ["rag quilt"]}, "it has rag edges"), (UNWASHED, "it has not been washed")),
    ),
    Published(
        "Project Linus, a Florida chapter",
        "seen: projectlinusfl.org: each side 36 to 60; no fringe, no holiday; washed without scent",
        {
            "shorter_side": "36 to 60", "longer_side": "36 to 60",
            "no": ["fringe", "holiday", "scent"], "needs": ["washed"],
        },
        inside=("36 x 36", "60 x 60", "36 x 60"),
        outside=(("35 1/2 x 60", "1/2 in too narrow"), ("60 x 60 1/2", "1/2 in too long")),
        refused=(({"features": ["fringed"]}, "it has fringe"), ({"features": ["Halloween print"]}, "holiday"), ({"features": ["perfume"]}, "it is scented")),
        welcome=({"features": ["unscented wash", "scent-free"]},),
        unrecorded=(("household", "household.scent"),),
    ),
    Published(
        "Project Linus, Wilson County, for a small child",
        "seen: projectlinuswilsoncounty.org: 40 x 45 to 48 x 48; nothing of a holiday or a team, no buttons",
        {"shorter_side": "40 to 48", "longer_side": "45 to 48", "no": ["holiday", "team", "buttons"]},
        inside=("40 x 45", "48 x 48"),
        outside=(("39 x 45", "1 in too narrow"), ("48 x 49", "1 in too long")),
        refused=(({"features": ["team shirts"]}, "it has team"), ({"features": ["button eyes"]}, "it has buttons")),
    ),
    Published(
        "Project Linus, Poconos, for a teen",
        "seen: projectlinusocpc.org: 45 x 50 to 50 x 60; label sewn in; no rag quilts; no scent",
        {"shorter_side": "45 to 50", "longer_side": "50 to 60", "needs": ["label sewn in"], "no": ["rag quilts", "scent"]},
        inside=("45 x 50", "50 x 60"),
        outside=(("44 x 50", "1 in too narrow"), ("50 x 61", "1 in too long")),
        refused=(({"features": ["rag edges"]}, "it has rag edges"), ({"care": {"label": False}}, "it has no label")),
        unrecorded=(("care", "care.label"),),
    ),
    Published(
        "Project Linus, Central Texas, large",
        "seen: centexprojectlinus: large is 54 x 72 and more",
        {"shorter_side": "at least 54", "longer_side": "at least 72"},
        inside=("54 x 72", "100 x 110"),
        outside=(("53 7/8 x 72", "1/8 in too narrow"), ("54 x 71 7/8", "1/8 in too short")),
    ),
    Published(
        "Project Linus, Oregon, for a teen",
        "seen: projectlinusoregon.org: 45 x 65 to 45 x 72; tied quilts are welcome; derived: within 1 in",
        {"shorter_side": "45", "longer_side": "65 to 72", "tolerance": "1"},
        inside=("45 x 65", "44 x 64", "46 x 73"),
        outside=(("43 x 65", "2 in too narrow"), ("45 x 74", "2 in too long")),
        welcome=({"quilting": "tied"}, {"quilting": "hand"}),
    ),
    Published(
        "Project Linus, Northern Kentucky",
        "seen: projectlinusnky.org: any size; unused and unwashed; free of smoke and pets; for children to 18",
        {"needs": ["unused", "unwashed"], "no": ["smoke", "pets"], "suits": ["children", "teens"]},
        inside=("20 x 20", "90 x 90"),
        refused=(
            ({"care": {"washed": True}}, "it has been washed"),
            ({"condition": "good"}, "it is not new"),
            ({"features": ["wood smoke"]}, "it smells of smoke"),
            ({"features": ["pet hair"]}, "it has pet hair"),
            ({"suits": ["elders"]}, "it suits elders"),
        ),
        welcome=({"features": ["smoke-free and pet-free home"]},),
        unrecorded=(("household", "household.smoke"), ("household", "household.pets"), ("care", "care.washed"), ("suits", "suits"), ("condition", "condition")),
        quilt={**UNWASHED, "suits": ["children"]},
    ),
    Published(
        "Project Linus UK, for a child",
        "seen: projectlinusuk.org.uk/faqs: 36 to 42 square, or 36 x 42; no embellishments",
        {"shorter_side": "36 to 42", "longer_side": "36 to 42", "no": ["embellishments"]},
        inside=("36 x 36", "42 x 42", "36 x 42", "91.5 x 106 cm"),
        outside=(("91 x 106 cm", "too narrow"), ("42 x 107 cm", "too"), ("36 x 43", "1 in too long")),
        refused=tuple(({"features": [word]}, "it has embellishments") for word in ("buttons", "sequins", "ribbon", "zipper")),
        welcome=({"features": ["flannel"]},),
    ),
    Published(
        "Linus UK, an incubator cover for a hospital",
        "seen: haddenham.net: 36-40 x 50-56; dark backing; batting or none",
        {"shorter_side": "36 to 40", "longer_side": "50 to 56", "needs": ["dark backing"]},
        inside=("36 x 50", "40 x 56"),
        outside=(("41 x 50", "1 in too wide"), ("36 x 49", "1 in too short")),
        refused=(({"features": ["pale backing"]}, "it has no dark backing"),),
        welcome=({"fibre": {**COTTON, "batting": "none"}},),
        unrecorded=(("features", "features"),),
        quilt={"features": ["dark backing"]},
    ),
    Published(
        "St Michael's newborn unit, a bassinet cover (Toronto)",
        "seen: etobicokequiltersguild.com: 20 x 20, flannel on both sides; derived: within 1/2 in",
        {"ideal": "20 x 20", "tolerance": "1/2", "fibre": {"top": "flannel", "backing": "flannel"}},
        inside=("20 x 20", "19 1/2 x 20 1/2"),
        outside=(("19 x 20", "1 in too narrow"), ("20 x 21", "1 in too long")),
        refused=(({"fibre": {"top": "cotton", "backing": "flannel"}}, "its top is cotton, and they ask for flannel"),),
        unrecorded=(("fibre", "fibre.top"),),
        quilt={"fibre": {"top": "flannel", "backing": "flannel"}},
    ),
    Published(
        "Providence St Peter newborn unit",
        "seen: washingtonstarsquiltguild.com: cut 27 x 37 or 22 x 32; all cotton, no flannel, no batting; derived: "
        "finished 26 1/2 x 36 1/2 or 21 1/2 x 31 1/2, told here as the range between them",
        {"shorter_side": "21 1/2 to 26 1/2", "longer_side": "31 1/2 to 36 1/2", "no": ["flannel", "batting"], "needs": ["all cotton"]},
        inside=("21 1/2 x 31 1/2", "26 1/2 x 36 1/2"),
        outside=(("27 x 36 1/2", "1/2 in too wide"), ("26 1/2 x 37", "1/2 in too long"), ("21 x 32", "1/2 in too narrow")),
        refused=(
            ({"fibre": COTTON}, "it has a batting"),
            ({"fibre": {"top": "flannel", "backing": "cotton", "batting": "none"}}, "it has flannel"),
            ({"fibre": {"top": "cotton", "backing": "minky", "batting": "none"}}, "it is not all cotton"),
        ),
        unrecorded=(("fibre", "fibre.top"),),
        quilt={"fibre": {"top": "cotton", "backing": "cotton", "batting": "none"}},
    ),
    Published(
        "MedStar Franklin Square newborn unit",
        "seen: quiltingontheline.com, 2017: 18 x 24 to 36 x 36-40; all cotton, no flannel",
        {"shorter_side": "18 to 36", "longer_side": "24 to 40", "no": ["flannel"], "needs": ["100% cotton"]},
        inside=("18 x 24", "36 x 40"),
        outside=(("17 x 24", "1 in too narrow"), ("36 x 41", "1 in too long"), ("18 x 23", "1 in too short")),
        refused=(({"fibre": {**COTTON, "top": "flannel"}}, "it has flannel"),),
        unrecorded=(("fibre", "fibre.top"),),
    ),
    Published(
        "St Joseph's newborn units",
        "seen: brandonpiecemakers.org: 39 x 39 after quilting, binding and washing; derived: within 1/2 in",
        {"ideal": "39 x 39", "tolerance": "1/2", "needs": ["washed"], "no": ["scent"]},
        inside=("39 x 39", "38 1/2 x 39 1/2"),
        outside=(("38 x 39", "1 in too narrow"), ("39 x 40", "1 in too long")),
        refused=((UNWASHED, "it has not been washed; would fit if it is washed first"),),
    ),
    Published(
        "Hope Quilts, Iowa",
        "seen: iowacomfort.blogspot.com: at least 40 x 40, at most 60 x 60; a matching pillowcase is welcome",
        {"shorter_side": "at least 40", "longer_side": "at most 60"},
        inside=("40 x 40", "60 x 60"),
        outside=(("39 1/2 x 60", "1/2 in too narrow"), ("60 x 60 1/2", "1/2 in too long")),
        welcome=({"features": ["matching pillowcase"]}, {"features": []}),
    ),
    Published(
        "Sheboygan, nursing homes",
        "seen: sheboyganquiltersguild.org: 32-36 wide, 36-42 long; machine binding",
        {"width": "32 to 36", "length": "36 to 42", "needs": ["machine binding"]},
        inside=("32 x 36", "36 x 42", "34 x 40"),
        outside=(("31 7/8 x 36", "1/8 in too narrow"), ("36 x 42 1/8", "1/8 in too long"), ("42 x 34", "it is turned round")),
        unrecorded=(("features", "features"),),
        quilt={"features": ["machine binding"]},
    ),
    Published(
        "Victoria's Quilts Canada, for an adult",
        "seen: victoriasquiltscanada.com: 50 x 70, 2 in more or less each way (48-52 x 68-72); no buttons; label",
        {"ideal": "50 x 70", "tolerance": "2", "no": ["buttons"], "needs": ["label"], "suits": ["adults"]},
        inside=("50 x 70", "48 x 68", "52 x 72", "70 x 50"),
        outside=(("47 7/8 x 70", "2 1/8 in too narrow"), ("50 x 72 1/2", "2 1/2 in too long")),
        refused=(({"features": ["buttons"]}, "it has buttons"), ({"suits": ["children"]}, "it suits children")),
        welcome=({"suits": ["men"]}, {"suits": ["women"]}),
        unrecorded=(("suits", "suits"),),
        quilt={"suits": ["adults"]},
    ),
    Published(
        "Guelph, a comfort quilt",
        "seen: royalcityquiltersguild.ca: comfort 54 x 66; nothing religious or seasonal; derived: within 2 in",
        {"ideal": "54 x 66", "tolerance": "2", "no": ["religious", "seasonal"]},
        inside=("54 x 66", "52 x 64", "56 x 68"),
        outside=(("51 x 66", "3 in too narrow"), ("54 x 69", "3 in too long")),
        refused=(({"features": ["religious text"]}, "it is religious"), ({"features": ["Easter eggs"]}, "holiday")),
    ),
    Published(
        "Lutheran World Relief",
        "seen: lwr.org, 2024; redeemerlutheranchurch.net: 60 x 80; tied welcome; no fleece, nothing religious, no "
        "flag, no camouflage; derived: within 2 in",
        {"ideal": "60 x 80", "tolerance": "2", "no": ["fleece", "religious", "flag", "camouflage"]},
        inside=("60 x 80", "58 x 78", "62 x 82"),
        outside=(("57 x 80", "3 in too narrow"), ("60 x 83", "3 in too long")),
        refused=(
            ({"fibre": {**COTTON, "batting": "fleece"}}, "it has fleece"),
            ({"features": ["camouflage"]}, "it has camouflage"),
            ({"features": ["flag"]}, "it is patriotic"),
        ),
        welcome=({"quilting": "tied"}, {"features": ["tied"]}),
        unrecorded=(("fibre", "fibre.top"),),
    ),
    Published(
        "Forever Warm",
        "seen: foreverwarm.org: 18 x 18 to 37 x 37, anything",
        {"shorter_side": "18 to 37", "longer_side": "18 to 37"},
        inside=("18 x 18", "37 x 37"),
        outside=(("17 x 18", "1 in too narrow"), ("37 x 38", "1 in too long")),
        welcome=({"features": ["buttons", "rag edges"]}, UNWASHED),
    ),
    Published(
        "A newborn blanket group",
        "seen: marchoftheblanketeer: between 24 x 24 and 36 x 54; one label",
        {"shorter_side": "24 to 36", "longer_side": "24 to 54", "needs": ["label"]},
        inside=("24 x 24", "36 x 54"),
        outside=(("23 x 24", "1 in too narrow"), ("36 x 55", "1 in too long"), ("37 x 54", "1 in too wide")),
        refused=(({"care": {"label": False}}, "it has no label"),),
        unrecorded=(("care", "care.label"),),
    ),
)  # fmt: skip


def quilt_for(published: Published, size: str, *, without: str = "", **changes) -> Quilt:
    recorded = {"id": "a", "title": "A", "finished_size": size, **SOUND, **published.quilt, **changes}
    return Quilt.model_validate({name: value for name, value in recorded.items() if name != without})


def judged(published: Published, quilt: Quilt) -> Judgement:
    return judge(quilt, Rules.model_validate(published.rules), on=ON)


def cases(of: str) -> list:
    return [
        pytest.param(published, case, id=f"{published.name} {number}")
        for published in PUBLISHED
        for number, case in enumerate(getattr(published, of))
    ]


def test_there_are_twenty_requests_and_each_names_its_source():
    assert len(PUBLISHED) >= 20
    assert len({published.name for published in PUBLISHED}) == len(PUBLISHED)
    assert all(published.source.startswith("seen: ") for published in PUBLISHED)
    assert all(published.inside and (published.outside or published.refused) for published in PUBLISHED)


@pytest.mark.parametrize(("published", "size"), cases("inside"))
def test_a_quilt_just_inside_fits(published, size):
    assert judged(published, quilt_for(published, size)).verdict == "fits"


@pytest.mark.parametrize(("published", "case"), cases("outside"))
def test_a_quilt_just_outside_its_size_does_not_and_says_by_how_much(published, case):
    size, words = case
    judgement = judged(published, quilt_for(published, size))
    assert judgement.verdict == "does not fit"
    assert words in judgement.because


@pytest.mark.parametrize(("published", "case"), cases("refused"))
def test_a_quilt_that_is_or_lacks_what_the_rules_name_does_not(published, case):
    changes, words = case
    judgement = judged(published, quilt_for(published, published.inside[0], **changes))
    assert judgement.verdict == "does not fit"
    assert words in judgement.because


@pytest.mark.parametrize(("published", "changes"), cases("welcome"))
def test_what_the_rules_do_not_name_is_welcome(published, changes):
    assert judged(published, quilt_for(published, published.inside[0], **changes)).verdict == "fits"


@pytest.mark.parametrize(("published", "case"), cases("unrecorded"))
def test_what_is_not_recorded_is_checked_first_and_rules_nothing_out(published, case):
    left_out, field_to_check = case
    judgement = judged(published, quilt_for(published, published.inside[0], without=left_out))
    assert judgement.verdict == "check first"
    assert field_to_check in [check.field for check in judgement.checks]


@pytest.mark.parametrize("published", PUBLISHED, ids=lambda published: published.name)
def test_a_quilt_that_was_never_measured_is_measured_first_where_a_size_is_asked(published):
    quilt = quilt_for(published, published.inside[0]).model_copy(update={"finished_size": None})
    asks_for_size = bool(set(published.rules) & {"size", "shorter_side", "longer_side", "width", "length", "ideal"})
    assert (judged(published, quilt).verdict == "check first") is asks_for_size


def test_chapters_of_one_charity_differ_on_the_same_quilt():
    by_name = {published.name: published for published in PUBLISHED}
    washed = quilt_for(by_name["Project Linus, a Florida chapter"], "40 x 46")
    fits = {name for name, published in by_name.items() if "Linus" in name and not judged(published, washed).misses}
    assert "Project Linus, a Florida chapter" in fits
    assert "Project Linus, Northern Kentucky" not in fits
