"""The checker of addresses finds what it is there to find."""

import pytest
from site_links import Edition


@pytest.fixture
def edition(write_collection, tmp_path):
    """An edition with one page more than the sound ones: `edition("<a href=...>")`."""

    def write(body: str, **files: str) -> Edition:
        return Edition.read(
            write_collection(
                tmp_path,
                {
                    "index.html": f"<!doctype html><h1 id=top-of-it>Wall</h1>{body}",
                    "quilts/low-tide.html": "<h1 id=story>Low Tide</h1><a href='../index.html'>Wall</a>",
                    "photos/Low Tide.jpg": "",
                    **files,
                },
            )
        )

    return write


@pytest.mark.parametrize(
    "body",
    [
        "<a href='quilts/low-tide.html#story'>Low Tide</a>",
        "<a href='quilts/low-tide.html?seen=1#story'>Low Tide</a>",
        "<a href='#top-of-it'>Up</a>",
        "<a href=''>Here</a>",
        "<img srcset='photos/Low%20Tide.jpg 400w, photos/Low%20Tide.jpg 800w'>",
        "<img src='photos/Low%20Tide.jpg'>",
        "<img src='data:image/png;base64,AAAA'>",
        "<a href='https://example.org/'>Away</a>",
        "<a href='mailto:nell@example.org'>Write</a>",
        "<link rel=canonical href='https://example.org/index.html'>",
    ],
)
def test_a_sound_address_is_left_alone(edition, body):
    assert edition(body).broken() == []


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ("<a href='quilts/high-tide.html'>High Tide</a>", "leads nowhere"),
        ("<a href='quilts/Low-Tide.html'>Low Tide</a>", "is written quilts/low-tide.html on the disk"),
        ("<a href='quilts/'>Quilts</a>", "names a folder"),
        ("<a href='quilts'>Quilts</a>", "names a folder"),
        ("<a href='.'>Here</a>", "names a folder"),
        ("<a href='quilts/low-tide.html#Story'>Low Tide</a>", "names a place that quilts/low-tide.html"),
        ("<a href='#nowhere'>Down</a>", "names a place that index.html does not have"),
        ("<a href='/index.html'>Wall</a>", "works only at the root"),
        ("<a href='../binder/index.html'>Binder</a>", "leads out of the edition"),
        ("<a href='javascript:void(0)'>Nothing</a>", "cannot be followed"),
        ("<a href='file:///etc/hosts'>Disk</a>", "cannot be followed"),
        ("<img src='https://example.org/a.jpg'>", "is loaded from elsewhere"),
        ("<script src='//example.org/a.js'></script>", "is loaded from elsewhere"),
        ("<link rel=stylesheet href='https://example.org/a.css'>", "is loaded from elsewhere"),
        ("<img srcset='photos/a-400.jpg 400w, photos/a-800.jpg 800w'>", "a-800.jpg' leads nowhere"),
        ("<svg><use href='#patch'/></svg>", "names a place"),
        ("<p style='background: url(none.png)'>", "leads nowhere"),
        ("<style>p { background: url('none.png') }</style>", "leads nowhere"),
        ("<form action='search.html'></form>", "leads nowhere"),
    ],
)
def test_an_address_that_would_disappoint_is_told(edition, body, fault):
    faults = edition(body).broken()
    assert faults
    assert fault in "\n".join(faults)
    assert all(line.startswith("index.html:1: ") for line in faults)


def test_a_style_sheet_is_read_too(edition):
    sheet = "p { background: url(../photos/low%20tide.jpg) }"
    (fault,) = edition("", **{"assets/a.css": sheet}).broken()
    assert fault.endswith("is written photos/Low Tide.jpg on the disk")


def test_a_page_that_no_link_leads_to_is_told(edition):
    assert edition("").unreachable() == {"quilts/low-tide.html"}
    assert edition("<a href='quilts/low-tide.html'>Low Tide</a>").unreachable() == set()
