"""Plain data written as YAML: it reads back equal, and looks as a person would write it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.yaml_files.parser import read_yaml
from collection.yaml_files.writer import Layout, write_field, write_fields, write_flow, write_item

# Text as makers write it, and text as nobody should: quotes, colons, hashes, breaks, odd characters.
TEXTS = st.one_of(
    st.sampled_from(["no", "null", "~", "true", "12:30", "2016~", "- x", "# no", "a: b", "x #y", "é\u0301"]),
    st.sampled_from(["a\n b\n", "\ufeffx", "a\nb", "a\n\nb\n", "a\n  \nb"]),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
    st.text("ab :#'\"\\\n\t,[]{}-|>&*!%@`?\x85\u2028🧵½", max_size=12),
)
KEYS = st.one_of(st.sampled_from(["is", "to", "handed_over"]), TEXTS.filter(lambda text: "\n" not in text))
PLAIN = st.recursive(
    TEXTS | st.booleans(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner | st.none(), max_size=3),
    max_leaves=8,
)
LAYOUTS = st.builds(
    Layout,
    width=st.sampled_from([20, 100]),
    step=st.integers(1, 5),
    list_step=st.integers(0, 4),
    dash_step=st.integers(2, 4),
    one_line=st.booleans(),
)


def reads(text: str) -> object:
    read, problems = read_yaml(text.encode(), "quilts/low-tide.yaml")
    assert not problems
    return read.data


@given(PLAIN)
def test_a_line_in_brackets_reads_back_equal(value):
    assert reads(f"field: {write_flow(value)}\n") == {"field": value}
    assert "\n" not in write_flow(value)


@given(
    st.dictionaries(KEYS, PLAIN, min_size=1, max_size=3),
    LAYOUTS,
    st.integers(0, 3),
    st.sampled_from(["\n", "\r\n"]),
)
def test_fields_read_back_equal_in_every_layout(fields, layout, column, line_break):
    lines = write_fields(fields, column=column, layout=layout)
    assert reads(line_break.join(lines) + line_break) == fields


@given(st.lists(PLAIN, min_size=1, max_size=3), LAYOUTS, st.integers(0, 3))
def test_items_read_back_equal_in_every_layout(items, layout, column):
    lines = [line for item in items for line in write_item(item, column=column, layout=layout)]
    assert reads("\n".join(["list:", *lines]) + "\n") == {"list": items}


@pytest.mark.parametrize(
    ("value", "lines"),
    [
        ("free", ["destination: free"]),
        ("2016~", ["destination: 2016~"]),
        ("60 1/2 x 72 in", ["destination: 60 1/2 x 72 in"]),
        ("Mother's", ["destination: Mother's"]),
        ("blue: the best", ['destination: "blue: the best"']),
        ('called "Blue", #1', ["destination: 'called \"Blue\", #1'"]),
        ("no", ['destination: "no"']),
        (["green", "grey"], ["destination: [green, grey]"]),
        ([{"is": "lost"}], ["destination:", "  - {is: lost}"]),
        ({"is": "gifted", "to": "A cousin"}, ["destination: {is: gifted, to: A cousin}"]),
        ("It rained.\nWe danced.\n", ["destination: |", "  It rained.", "  We danced."]),
        (
            {"is": "donated", "note": "x" * 90},
            ["destination:", "  is: donated", "  note: " + "x" * 90],
        ),
    ],
)
def test_it_looks_as_a_person_would_write_it(value, lines):
    assert write_field("destination", value, column=0, layout=Layout()) == lines


@pytest.mark.parametrize(("columns", "lines"), [(99, 1), (100, 3)])
def test_a_line_in_brackets_is_shorter_than_a_hundred_columns(columns, lines):
    frame = "destination: {is: donated, note: }"
    fields = {"is": "donated", "note": "x" * (columns - len(frame))}
    assert len(write_field("destination", fields, column=0, layout=Layout())) == lines
