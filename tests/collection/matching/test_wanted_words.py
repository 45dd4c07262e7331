"""What rules ask for and refuse, said as a quilter would."""

import pytest

from collection.matching.rule_vocabulary import RULE_WORDS
from collection.matching.wanted_words import wanted_words


@pytest.mark.parametrize(
    ("needs", "no", "said"),
    [
        ([], [], ""),
        (["label", "washed"], [], "must be washed and have a label"),
        (["labelled", "new", "quilted"], [], "must be new and quilted, and have a label"),
        ([], ["buttons", "beads", "tied", "weighted"], "no buttons or beads; not tied or weighted"),
        (["not tied"], ["buttons", "rag quilt"], "no buttons or rag edges; not tied"),
        (["smoke-free and pet-free home"], [], "from a smoke-free and pet-free home"),
        ([], ["smoke", "pet hair", "pets"], "no smoke or pet hair; from a pet-free home"),
        (["dark backing"], ["holiday", "team colours"], "needs dark backing; no holiday themes or team colours"),
        (["washed or unwashed"], ["label"], "washed or unwashed; no label"),
        (["flannel"], ["wool batting"], "must have flannel; no wool batting"),
    ],
)
def test_qualities_and_things_are_said_apart(needs, no, said):
    assert "; ".join(wanted_words(needs, no)) == said


@pytest.mark.parametrize("word", [row.word for row in RULE_WORDS])
def test_each_word_of_the_rules_is_said_once_whichever_way_it_is_asked(word):
    for needs, no in (([word], []), ([], [word])):
        (said,) = wanted_words(needs, no)
        assert said == "washed or unwashed" or said.split()[0] in ("must", "needs", "no", "not", "from")
