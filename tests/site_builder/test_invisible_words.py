"""What a public text holds and no page shows goes out by no other way: search, feed, data for machines."""
from datetime import date

import pytest

from site_builder.build import build

UNSEEN = {
    "comment": "seen <!-- {} --> here",
    "comment over blank lines": "seen\n\n<!-- a\n\n{}\n\nb -->\n\nhere",
    "unused reference": "seen\n\n[{}]: https://unused.example",
    "title of an unused reference": "seen\n\n[unused]: https://unused.example '{}'",
    "class": "<b class='{}'>seen</b>",
    "data": "<p data-of='{}' id='{}'>seen</p>",
    "script": "seen <script>{}</script>",
    "style": "<style>.{} {{}}</style>\n\nseen",
    "picture": "![{}](a.png) seen",
    "address that may not stand": "[seen](javascript:{})",
    "instruction": "<?{} ?>\n\nseen",
    "declaration": "<!DOCTYPE {}>\n\nseen",
    "section": "<![CDATA[ {} ]]>\n\nseen",
    "words of a fence": "``` {}\nseen\n```",
}


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("unseen")
    for name in ("quilts", "pages"):
        (folder / "collection" / name).mkdir(parents=True)
    (folder / "collection/collection.yaml").write_text("site: {url: https://quilts.example}\n")
    for number, text in enumerate(UNSEEN.values()):
        words = text.format(*[f"unseen{number}x"] * 2)
        story = "\n".join(f"  {line}" for line in words.splitlines())
        (folder / f"collection/quilts/quilt-{number}.yaml").write_text(f"title: Quilt {number}\nmade: 2020\nstory: |\n{story}\n")
        (folder / f"collection/pages/page-{number}.md").write_text(words)
    build(folder / "collection", folder / "output", on=date(2026, 10, 20), editions=("catalogue",))
    files = (path for path in (folder / "output/catalogue").rglob("*") if path.is_file())
    return {path.name: path.read_bytes().decode("utf-8", "replace").casefold() for path in files}


@pytest.mark.parametrize("number", range(len(UNSEEN)), ids=UNSEEN)
def test_what_no_page_shows_is_in_no_file_of_the_catalogue(catalogue, number):
    assert "seen" in catalogue["words.js"] and "seen" in catalogue["feed.xml"]
    assert [name for name, text in catalogue.items() if f"unseen{number}x" in text] == []
