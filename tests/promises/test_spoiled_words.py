"""Markdown that is spoiled in any way becomes harmless HTML, soon."""

from pathlib import Path

import yaml
from hypothesis import given
from hypothesis import strategies as st

from collection.records.fields import LONGEST_TEXT
from site_builder.text.markdown import to_html
from tests.site_builder.text.test_markdown import HARMFUL, PIECES, assert_harmless
from tests.support.mutations import TEXTS, assert_memory_is_bounded, inputs, spoiled
from tests.support.patience import soon

DEMO = Path(__file__).parents[2] / "demo_collection"
STORIES = [
    story
    for path in sorted((DEMO / "quilts").glob("*.yaml"))
    if (story := yaml.safe_load(path.read_text("utf-8")).get("story"))
]
PAGES = [path.read_text("utf-8") for path in sorted((DEMO / "pages").glob("*.md"))]


@inputs(2)
@given(spoiled([*STORIES, *PAGES, *HARMFUL]))
def test_a_spoiled_story_does_no_harm_and_is_shown_soon(text):
    with soon():
        html = to_html.__wrapped__(text[:LONGEST_TEXT])
    assert_harmless(html)


@inputs(0.3)
@given(st.lists(st.sampled_from([*PIECES, *TEXTS]), min_size=1, max_size=4).map("".join).filter(bool))
def test_a_few_signs_repeated_without_end_are_shown_soon(unit):
    with soon():
        to_html.__wrapped__((unit * LONGEST_TEXT)[:LONGEST_TEXT])


def test_memory_is_bounded():
    assert_memory_is_bounded()
