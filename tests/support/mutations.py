"""Real files, spoiled in the ways in which files come to be spoiled: for looking for what a reader can't bear.

How many inputs each search tries: INPUTS=20000 python -m pytest tests -k spoiled. The usual run tries a few
hundred, always the same ones.
"""

import os
import resource
import sys
from collections.abc import Sequence

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st

FEW = 80
INPUTS = int(os.environ.get("INPUTS", FEW))
MOST_MEMORY = 500_000_000

TEXTS = (
    "", " ", "\n", "\r", "\t", "\0", "\x1b[2J", "\x85", "\u2028", "\ufeff", "\u202e", "\u200b", "\ud7ff", "\U0010ffff", "é", "e\u0301",
    "毛布", "שמיכה", "İ", "ß", "½", "⅞", "١٢", "²", "½½", "-", "--", "---", "...", ":", ": ", "- ", "? ", "#", " #", "&a", "*a", "!!x",
    "!", "|", ">", "|+9", ">-", "'", '"', '\\"', "[", "]", "{", "}", "[[", "{{", ",", "%", "%YAML 1.1\n", "@", "`", "~", "null", "true",
    "yes", "<<", "<<: *a", "0", "-1", "1e999", "0x10", "1_000", ".5", "1,5", "1.234,56", "1/0", "0/0", "99999999999999999999", "9" * 400,
    "60 x", " x ", " by ", "cm", "in", "ft", '"', "'", "to", "at least", "at most", "-", "/", "..", "../..", "about", "~", "?", "X", "XX",
    "0000", "9999", "10000", "-0001", "2016-13-45", "2015/2014", "spring", "$", "€", "USD", "title", "quilts", "photos", "is: ", "donated",
    "<script>", "javascript:", "=1+1", "\\", "/etc/passwd", "con", "a" * 300, "a," * 300, "\n  ", "\n- ", "\nx:\n", "\n\n\n", "[x](y)",
)  # fmt: skip
BYTES = (
    b"",
    b"\0",
    b"\xff",
    b"\xfe\xff",
    b"\x80",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\xff\xff\xff\xff",
    b"\x7f\xff\xff\xff",
    b"\0\0\0\0",
    b"\0" * 64,
)
BLANK_LINE_OF = {str: "\n", bytes: b"\n"}


def inputs(times: float = 1.0) -> settings:
    """So many times as many inputs as another search tries; the usual run tries always the same."""
    return settings(
        max_examples=max(10, int(INPUTS * times)),
        deadline=None,
        derandomize=INPUTS == FEW,
        suppress_health_check=list(HealthCheck),
        # To make a large input that fails smaller may take minutes.
        phases=[Phase.explicit, Phase.reuse, Phase.generate],
    )


@st.composite
def spoiled(draw, wholes: Sequence[str] | Sequence[bytes], most: int = 4):
    """One of the wholes with up to so many changes: cut, left out, doubled, put elsewhere, put in, repeated."""
    text = draw(st.sampled_from(wholes))
    for _ in range(draw(st.integers(1, most))):
        text = _changed(draw, text)
    return text


def _changed(draw, text):
    pieces = (
        st.sampled_from(TEXTS) if isinstance(text, str) else st.one_of(st.sampled_from(BYTES), st.binary(max_size=8))
    )
    at = draw(st.integers(0, len(text)))
    end = min(len(text), at + draw(st.one_of(st.integers(0, 4), st.integers(0, 200))))
    match draw(st.integers(0, 7)):
        case 0:
            return text[:at]
        case 1:
            return text[:at] + text[end:]
        case 2:
            return text[:end] + text[at:]
        case 3:
            to = draw(st.integers(0, len(text)))
            return text[:to] + text[at:end] + text[to:]
        case 4:
            return text[:at] + draw(pieces) * draw(st.sampled_from([1, 2, 50, 2000])) + text[at:]
        case 5:
            lines = text.split(BLANK_LINE_OF[type(text)])
            one, other = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
            lines[one], lines[other] = lines[other], lines[one]
            return BLANK_LINE_OF[type(text)].join(lines)
        case _:
            return text[:at] + draw(pieces) + text[end:]


@st.composite
def changed_bytes(draw, whole: bytes) -> bytes:
    """The same but for one byte, or cut short."""
    at = draw(st.integers(0, 10**9)) % len(whole)  # so that the choices are the same, however long it is this time
    if draw(st.booleans()):
        return whole[:at]
    return whole[:at] + bytes([whole[at] ^ draw(st.integers(1, 255))]) + whole[at + 1 :]


def assert_memory_is_bounded() -> None:
    """Of the whole process since it began, so it is only looked at in a search of its own."""
    if INPUTS > FEW:
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
        assert most < MOST_MEMORY, f"{most // 1_000_000} MB"
