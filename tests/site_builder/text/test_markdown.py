"""The maker's own words become HTML that can do no harm and keeps the page's outline whole."""

import re
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markupsafe import escape

from site_builder.text.markdown import MOST_HTML, to_html, to_words
from tests.support.patience import soon

PLAIN_TAGS = {
    "a", "abbr", "b", "blockquote", "br", "cite", "code", "dd", "del", "dl", "dt", "em", "h1", "h2", "h3", "h4",
    "h5", "h6", "hr", "i", "ins", "li", "ol", "p", "pre", "q", "s", "small", "strong", "sub", "sup", "table",
    "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
WITHOUT_END = {"br", "hr"}


class Outline(HTMLParser):
    """What a browser finds in a piece of HTML: tags, attributes, headings, and whether all is closed."""

    def __init__(self, html: str):
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.text = ""
        self._open: list[str] = []
        self.feed(html)
        self.close()
        assert not self._open, f"left open: {self._open}"

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in WITHOUT_END:
            self._open.append(tag)

    def handle_endtag(self, tag):
        assert self._open.pop() == tag

    def handle_data(self, data):
        self.text += data

    def handle_comment(self, data):
        raise AssertionError(f"a comment: {data}")

    def handle_decl(self, decl):
        raise AssertionError(f"a declaration: {decl}")

    @property
    def headings(self) -> list[int]:
        return [int(tag[1]) for tag in self.tags if re.fullmatch("h[1-6]", tag)]


def assert_harmless(html: str) -> Outline:
    found = Outline(html)
    assert set(found.tags) <= PLAIN_TAGS
    for tag, name, value in found.attributes:
        # A title or a language may be given to anything: both are words and no more.
        assert name in ("title", "lang") or (tag, name) in {
            ("a", "href"),
            ("a", "rel"),
            ("ol", "start"),
            ("th", "scope"),
        }
        if name == "href":
            scheme = re.match(r"[\s\x00-\x20]*([a-z][a-z0-9+.-]*):", value, re.IGNORECASE)
            assert scheme is None or scheme[1].lower() in ("http", "https", "mailto")
    return found


# What people write ------------------------------------------------------------------------------


def test_paragraphs_emphasis_lists_and_links_are_as_written():
    html = to_html("Made *fast* and **tied**.\n\n- one\n- two\n\n[the class](https://example.org/class)")
    assert html == (
        "<p>Made <em>fast</em> and <strong>tied</strong>.</p>\n<ul>\n<li>one</li>\n<li>two</li>\n</ul>\n"
        '<p><a href="https://example.org/class" rel="noopener">the class</a></p>'
    )


def test_a_table_is_a_table():
    found = assert_harmless(to_html("| Batting | Shrinks |\n|:--|--:|\n| cotton | 3 % |\n| wool | less |"))
    assert found.tags == ["table", "thead", "tr", "th", "th", "tbody", "tr", "td", "td", "tr", "td", "td"]


def test_mail_and_pages_of_ones_own_can_be_linked():
    html = to_html("[write](mailto:someone@example.org), [see](../quilts/low-tide.html)")
    assert 'href="mailto:someone@example.org"' in html
    assert 'href="../quilts/low-tide.html"' in html


def test_signs_are_signs():
    assert to_html('1 < 2 & "3" > 2') == '<p>1 &lt; 2 &amp; "3" &gt; 2</p>'
    assert to_html("`<b>`") == "<p><code>&lt;b&gt;</code></p>"


def test_text_from_right_to_left_stays():
    assert to_html("שמיכת טלאים") == "<p>שמיכת טלאים</p>"


def test_nothing_is_nothing():
    assert to_html("") == ""


# What could do harm -----------------------------------------------------------------------------

HARMFUL = [
    "<script>alert(1)</script>",
    "<SCRIPT SRC=//evil.example/x></SCRIPT>",
    "<img src=x onerror=alert(1)>",
    "![picture](https://evil.example/counter.gif)",
    "<p onclick='alert(1)' style='position:fixed' class='masthead' id='main'>words</p>",
    "[a](javascript:alert(1))",
    "[a](JaVaScRiPt:alert(1))",
    "<a href='java&#10;script:alert(1)'>a</a>",
    "<a href=' \x01javascript:alert(1)'>a</a>",
    "[a](data:text/html;base64,PHNjcmlwdD4=)",
    "[a](vbscript:x) [b](file:///etc/passwd)",
    "<iframe src='https://evil.example'>inside</iframe>",
    "<svg><script>alert(1)</script><a href='javascript:x'>a</a></svg>",
    "<math><mtext><style><img src=x onerror=alert(1)></style></mtext></math>",
    "<style>body{display:none}</style>",
    "<object data=x>inside</object><embed src=x>",
    "<form action=x><input name=y><button>z</button></form>",
    "<base href='https://evil.example/'><meta http-equiv=refresh content=0>",
    "<link rel=stylesheet href=x><title>t</title>",
    '<noscript><p title="</noscript><img src=x onerror=alert(1)>">',
    "<template><img src=x onerror=alert(1)></template>",
    "<details open ontoggle=alert(1)><summary>s</summary></details>",
    "</div></main></body></html><h1>mine",
    "<!-- a comment --><!--[if IE]><script>x</script><![endif]-->",
    "<![CDATA[<script>x</script>]]><?php x ?>",
    "<b><i><table><tr><td>unclosed",
    "<h1><b><h2>one in the other</h2></b></h1>",
    "<plaintext>all that follows",
    "<xmp><script>x</script></xmp>",
    "<a href=x style=color:red target=_blank>a</a>",
]


@pytest.mark.parametrize("text", HARMFUL)
def test_what_could_do_harm_is_gone_and_all_is_closed(text):
    html = to_html(f"before\n\n{text}\n\nafter")
    found = assert_harmless(html)
    assert "before" in found.text
    assert not re.search("alert|evil\\.example|display:none", html)


@pytest.mark.parametrize("text", HARMFUL)
def test_no_more_can_it_in_the_midst_of_a_line(text):
    assert_harmless(to_html(f"before {text} after"))


PIECES = [*HARMFUL, "# ", "### ", "\n", "\n\n", "* ", "1. ", "> ", "`", "|", "|--|", "[x](", ")", "<h2>", "</h3>", "<b"]


@given(st.lists(st.one_of(st.sampled_from(PIECES), st.text(st.characters(codec="utf-8"), max_size=8)), max_size=12))
@example(["<h1>", "<b>", "<h2>", "</h1>"])
def test_whatever_is_written_does_no_harm_and_leaves_no_level_out(pieces):
    found = assert_harmless(to_html("".join(pieces)))
    assert_outline_is_whole(found.headings, below=1)


def test_lists_deeper_than_anybody_means_them_are_shown_as_written():
    deep = "".join(" " * 4 * depth + "- <b>deeper</b>\n" for depth in range(300))
    assert_harmless(to_html(deep))


# One text after another -------------------------------------------------------------------------

DEEP = "".join(" " * 4 * depth + "- <b>deeper</b>\n" for depth in range(300))
OF_EACH_KIND = (
    "one [x][1]\n\n* a\n\n    b\n\n* c\n\n> q\n\n| a | b |\n|--|--|\n| 1 | 2 |\n\n1. x\n2. y\n\n<b>z</b>\n\n    code\n"
)


def alone(text: str) -> str:
    """What becomes of a text when no other was read before it."""
    with ThreadPoolExecutor(1) as other_thread:
        return other_thread.submit(to_html.__wrapped__, text).result()


@pytest.mark.parametrize(
    "before", [DEEP, "[1]: https://example.org/other", "<b><i>", "[" * 20_000, "`", "* a\n    * b\n"]
)
def test_what_was_read_before_changes_nothing(before):
    to_html.__wrapped__(before)
    assert to_html.__wrapped__(OF_EACH_KIND) == alone(OF_EACH_KIND)


@given(st.lists(st.sampled_from(PIECES), max_size=12))
def test_whatever_was_read_before_changes_nothing(pieces):
    to_html.__wrapped__("".join(pieces))
    assert to_html.__wrapped__(OF_EACH_KIND) == WHAT_IT_IS_ALONE


WHAT_IT_IS_ALONE = alone(OF_EACH_KIND)


# Headings ---------------------------------------------------------------------------------------


def assert_outline_is_whole(headings: list[int], *, below: int) -> None:
    for before, heading in zip([below, *headings], headings):
        assert below < heading <= before + 1


@pytest.mark.parametrize(
    ("text", "below", "levels"),
    [
        ("# one\n\n## two\n\n# three", 1, [2, 3, 2]),
        ("# one\n\n### two\n\n## three", 1, [2, 3, 3]),
        ("### one\n\n# two", 1, [2, 2]),
        ("#### one\n\n###### two\n\n##### three", 2, [3, 4, 4]),
        ("# 1\n\n## 2\n\n### 3\n\n#### 4\n\n##### 5\n\n###### 6", 2, [3, 4, 5, 6, 6, 6]),
        ("no heading", 1, []),
    ],
)
def test_headings_are_lowered_without_a_gap(text, below, levels):
    assert Outline(to_html(text, headings_below=below)).headings == levels


# What would take long ---------------------------------------------------------------------------

LONG = 100_000
BOMBS = {
    "a wide heading over short rows": "|" + "a|" * 2000 + "\n|" + "-|" * 2000 + "\n" + "|x|\n" * 22_000,
    "tags in tags": "<a> ;#<" * 4200 + "> <!--" * 4800,
    "quotes with headings": ">#\n" * 20_000,
    "quotes in quotes": "> " * 50_000,
    "lines in deep quotes": (">" * 300 + "a\n\n") * 330,
    "elements in elements": "<div>" * 20_000,
    "lists in lists": "<ul><li>" * 12_500,
    "each tag another": "".join(f"<b class=x{number}></p>" for number in range(5500)),
    "ends of what is open no more": "<b>" * 14_000 + "</p>" * 14_000,
    "references": "".join(f"[{number}]: <b> 'c'\n" for number in range(3000)) + "[0]" * 15_000,
    "signs of code": "".join("`" * (number % 400) + " " for number in range(500)),
    **{
        piece: piece * (LONG // len(piece))
        for piece in (
            "[",
            "![",
            "[[](",
            "[a](",
            "[a][",
            "](",
            "<a ",
            "<![",
            "<!--",
            "<a\n",
            "# a\n",
            "***\n",
            "[](<",
            "<a b='",
            "*_",
            "`a",
            "1. <a ",
            "*a _b ",
            "***a**b*",
            "[a](b",
            "[a]: b\n",
            "|",
            "|-",
            "- > ",
            "&notin",
            "<b><p>",
            "<a><b>",
            "<td>",
            "<table>",
            "<i><table>",
            "</",
            "<svg>",
            "<template>",
            "a\n=\n",
            "```\n",
            "~~a ",
            "\0",
            "\\",
            "\t- ",
        )
    },
}


@pytest.mark.parametrize("bomb", BOMBS.values(), ids=BOMBS)
def test_no_text_takes_long(bomb):
    assert LONG / 3 < len(bomb) < 1.3 * LONG
    with soon():
        html = to_html.__wrapped__(bomb)
    assert len(html) < 2 * MOST_HTML
    assert_harmless(html)


@pytest.mark.parametrize("text", ["<b>" * 600, "> " * 600, "|a" * 1000 + "\n" + "|-" * 1000 + "\n" + "|x|\n" * 1000])
def test_what_nobody_writes_is_shown_as_it_is_written(text):
    assert to_html(text) == f"<pre>{escape(text)}</pre>".removesuffix("\n")


def test_a_long_page_of_what_people_write_is_read_as_markdown():
    links = "".join(f"- [quilt {number}](../quilts/{number}.html): *a quilt* of <b>ours</b>\n" for number in range(900))
    chapters = "".join(
        f"## Chapter {number}\n\nOne (or [two](two.html)) < 3 words & **more**.\n\n---\n\n" for number in range(400)
    )
    html = to_html(links + "\n" + chapters)
    assert html.count("<a ") == 1300 and html.count("<h2>") == 400 and "<pre>" not in html


# The words alone --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Made *fast* and **tied**.", "Made fast and tied."),
        ("# Low Tide\n\n- one\n- two", "Low Tide one two"),
        ("a quil<b>ted</b> star", "a quilted star"),
        ("<ul><li>one</li><li>two</li></ul>", "one two"),
        ("1 < 2 &amp; 3", "1 < 2 & 3"),
        ("seen <!-- unseen --> here", "seen here"),
        ("seen\n\n<!-- unseen\n\nby nobody -->\n\nhere", "seen here"),
        ("seen\n\n[unseen]: https://unseen.example 'unseen'", "seen"),
        ("[seen](https://unseen.example 'unseen')", "seen"),
        ("<script>unseen</script><style>unseen</style>seen", "seen"),
        ("<b class=unseen>seen</b>", "seen"),
        ("![unseen](unseen.png) seen", "seen"),
        ("<?unseen ?><![CDATA[unseen]]>seen", "seen"),
        ("", ""),
    ],
)
def test_the_words_are_those_that_a_page_shows(text, words):
    assert to_words(text) == words
