"""The checker of pages finds what it is there to find."""

import pytest
from page_structure import Document, faults

SOUND = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src 'self'">
<meta name="viewport" content="width=device-width">
<meta name="description" content="Every quilt.">
<link rel="icon" href="data:,">
<title>The wall</title>
</head>
<body>
<main>
<h1 id="wall">The wall</h1>
<h2>Of 2016</h2>
<img src="a.jpg" alt="Low Tide" width="3" height="4">
<label for="find">Find</label> <input id="find">
<label>Size <select><option>Lap</option></select></label>
<ul><li><a href="quilts/low-tide.html">Low Tide</a></li></ul>
<table><tr><th scope="col">Year</th></tr><tr><td>2016</td></tr></table>
<script type="application/json">{"a": "<"}</script>
</main>
</body>
</html>
"""


def test_a_sound_page_has_no_fault():
    assert faults(Document.parse(SOUND)) == []


@pytest.mark.parametrize(
    ("word", "other", "fault"),
    [
        ("<!doctype html>", "", "DOCTYPE"),
        ("</main>", "", "Unexpected end tag (body)"),
        ("<h2>Of 2016</h2>", "<p><div></div></p>", "end tag (p)"),
        ("<h2>Of 2016</h2>", "<a href='a'><a href='b'></a></a>", "tag (a)"),
        (' lang="en"', "", "does not say its language"),
        ('<meta charset="utf-8">', "", "UTF-8"),
        ('<meta name="viewport" content="width=device-width">', "", "phone"),
        ('<link rel="icon" href="data:,">', "", "names no icon"),
        ('content="Every quilt."', 'content=""', "describe itself"),
        ("<title>The wall</title>", "<title> </title>", "one title"),
        ("<h2>Of 2016</h2>", "<h2 id='wall'>Of 2016</h2>", "the id 'wall' stands 2 times"),
        ("<h2>Of 2016</h2>", "<h2 id='of 2016'>Of 2016</h2>", "has a space"),
        ("<h2>Of 2016</h2>", "<h2 aria-labelledby='none'>Of 2016</h2>", "which is not there"),
        ("<h2>Of 2016</h2>", "<h3>Of 2016</h3>", "comes after a heading of level 1"),
        ("<h2>Of 2016</h2>", "<h1>Of 2016</h1>", "needs one h1"),
        ("<h2>Of 2016</h2>", "<h2></h2>", "an empty h2"),
        (' alt="Low Tide"', "", "has no alt text"),
        (' width="3"', "", "keep its place"),
        ('src="a.jpg"', 'src="a.jpg" srcset="a.jpg 400w"', "srcset without sizes"),
        ('<label for="find">Find</label>', "Find", "has no label"),
        ("<label>Size", "Size", "has no label"),
        ("<ul><li>", "<ul><p>Two</p><li>", "holds <p>"),
        ("Low Tide</a>", "<button>Low Tide</button></a>", "wants clicks of its own"),
        ('<th scope="col">Year</th>', "<td>Year</td>", "no heading cells"),
        ("<td>2016</td>", "<td>2016</td><td>3</td>", "rows of different lengths"),
        ('<meta http-equiv="Content-Security-Policy"', "<meta name=none", "no content security policy"),
        ("default-src 'none'; ", "", "default-src"),
        ("img-src 'self'", "script-src 'unsafe-inline'", "allows inline scripts"),
        ("<h2>", "<h2 onclick='go()'>", "a script in its onclick"),
        ("<h2>", "<h2 style='color: red'>", "a style of its own"),
        ("<h2>", "<style>h2 { color: red }</style><h2>", "a style element"),
        ("<h2>", "<script>go()</script><h2>", "an inline script"),
        ("<h2>", "<script type=module src=a.js></script><h2>", "is a module"),
        ('{"a": "<"}', "{'a'}", "is no JSON"),
    ],
)
def test_a_fault_is_told(word, other, fault):
    assert word in SOUND
    told = faults(Document.parse(SOUND.replace(word, other, 1)))
    assert told
    assert fault in "\n".join(told)
