"""What is said of a judgement, in short."""

from collection.matching.judgement import Check, checks_in_short


def test_checks_that_begin_alike_are_said_together():
    whys = ["they refuse beads", "they ask that it has a label", "its size is approximate", "they refuse buttons"]
    whys += ["they ask that it has been washed", "they refuse beads"]
    assert checks_in_short(Check("features", why) for why in whys) == (
        "they refuse beads or buttons; they ask that it has a label and has been washed; its size is approximate"
    )
    assert checks_in_short(()) == ""
