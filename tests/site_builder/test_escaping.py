"""Escaping is what markupsafe makes of a value, whatever it is."""

from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup, escape

from site_builder.escaping import escaped
from site_builder.rendering import _environment

VALUES = st.text() | st.text(alphabet="ab &<>'\"") | st.text().map(Markup) | st.integers() | st.booleans() | st.none()


@given(VALUES)
def test_a_value_is_escaped_as_by_markupsafe(value):
    assert str(escaped(value)) == str(escape(value))


@given(st.text(alphabet="&<>'\"", min_size=1))
def test_what_was_escaped_says_so_and_is_not_escaped_again(words):
    assert escaped(escaped(words)) == escape(words)


def test_templates_escape_by_it():
    template = _environment().get_template("_facts.html")
    assert template.root_render_func.__globals__["escape"] is escaped
