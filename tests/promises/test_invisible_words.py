"""What a public text holds and no page shows goes out by no other way: search, feed, data for machines."""

from datetime import date

import html5lib
import pytest

from site_builder.building.build import build

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
    "template": "<template>\n<p>{}</p>\n</template>\n\nseen",
    "fields": "<input value='{}'> <option label='{}'></option> seen",
    "drawing": "<svg><title>{}</title><text>{}</text></svg> seen",
}
HIDES = {"details", "dialog", "template", "noscript", "textarea", "title", "datalist", "option", "canvas", "video"}
# Nothing hides words but leaving them out: the page shows them, and so they may go out by other ways.
SHOWN = {
    "hidden": "<div hidden>{}</div> seen", "style": "<p style='display:none'>{}</p>\n\nseen", "hidden span": "<span hidden>{}</span> seen",
    "noscript": "<noscript>{}</noscript> seen", "textarea": "<textarea>{} <b>seen</b></textarea>", "dialog": "<dialog>{}</dialog> seen",
    "details": "<details><summary>seen</summary>{}</details>\n\nseen", "title": "<title>{}</title> seen", "list": "<datalist><option>{}</datalist> seen",
    "no frames": "<noframes>{}</noframes> seen", "picture's place": "<canvas>{}</canvas> seen", "film's place": "<video>{}</video> seen",
    "struck out": "<del>{}</del> seen", "white": "<font color=white>{}</font> seen", "ruby": "<ruby>seen<rp>{}</rp></ruby> seen",
    "plain text": "<plaintext>{} seen", "formula": "<math><annotation-xml encoding='text/html'><p>{}</p></annotation-xml></math>seen",
}  # fmt: skip


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("unseen")
    for name in ("quilts", "pages"):
        (folder / "collection" / name).mkdir(parents=True)
    (folder / "collection/collection.yaml").write_text("site: {url: https://quilts.example}\n")
    marked = {f"unseen{number}x": text for number, text in enumerate(UNSEEN.values())}
    marked |= {f"shown{number}x": text for number, text in enumerate(SHOWN.values())}
    for number, (mark, text) in enumerate(marked.items()):
        words = text.format(*[mark] * 2)
        story = "\n".join(f"  {line}" for line in words.splitlines())
        (folder / f"collection/quilts/quilt-{number}.yaml").write_text(
            f"title: Quilt {number}\nmade: 2020\nstory: |\n{story}\n"
        )
        (folder / f"collection/pages/page-{number}.md").write_text(words)
    (folder / "collection/pages/about.md").write_text("# Of <!-- unseen0x --> *seen* <b id=unseen0x>things</b>\n\nseen")
    build(folder / "collection", folder / "output", on=date(2026, 10, 20), editions=("catalogue",))
    files = (path for path in (folder / "output/catalogue").rglob("*") if path.is_file())
    return {path.name: path.read_bytes().decode("utf-8", "replace").casefold() for path in files}


@pytest.mark.parametrize("number", range(len(UNSEEN)), ids=UNSEEN)
def test_what_no_page_shows_is_in_no_file_of_the_catalogue(catalogue, number):
    assert "seen" in catalogue["words.js"] and "seen" in catalogue["feed.xml"]
    assert [name for name, text in catalogue.items() if f"unseen{number}x" in text] == []


def test_a_page_of_the_makers_own_is_called_as_its_heading_reads(catalogue):
    assert (
        "<h1>of seen things</h1>" in catalogue["about.html"] and "<title>of seen things · " in catalogue["about.html"]
    )
    assert ">of seen things</a>" in catalogue["index.html"]


@pytest.mark.parametrize("number", range(len(SHOWN)), ids=SHOWN)
def test_what_goes_out_by_another_way_is_on_the_page_for_all_to_see(catalogue, number):
    mark = f"shown{number}x"
    page = html5lib.parse(catalogue[f"quilt-{len(UNSEEN) + number}.html"], namespaceHTMLElements=False)
    assert mark in "".join(page.find("body").find(".//main").itertext())
    hiding = [
        each.tag for each in page.find("body").iter() if each.tag in HIDES or {"hidden", "style"} & set(each.attrib)
    ]
    assert hiding == []
    assert mark in catalogue["words.js"] and mark in catalogue["feed.xml"]
