"""Nobody but the person at this machine reads the desk or writes through it."""

import http.client
import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from desk_served import DeskServed, hidden, write_records
from playwright.sync_api import expect

from tests.support.folders import files_below

WRITES = ("/desk/edit/quilts/low-tide", "/desk/new/quilt", "/desk/new/partner", "/desk/move/hand-over", "/desk/changes/back",
          "/desk/photos/low-tide", "/desk/edit/collection", "/desk/begin")  # fmt: skip


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Iterator[DeskServed]:
    folder = tmp_path_factory.mktemp("safe") / "mine"
    write_records(folder, name_photo=True)
    (folder.parent / "secret.yaml").write_text("title: not for the desk\n")
    served = DeskServed(folder, tmp_path_factory.mktemp("cache"))
    yield served
    served.close()


@pytest.fixture
def unchanged(desk) -> Iterator[None]:
    """Whatever a test asks for: no file of the collection is another afterwards."""
    before = files_below(desk.folder)
    yield
    assert files_below(desk.folder) == before


FORM = {
    "name": "A stranger",
    "title": "A stranger's",
    "quilt": "low-tide",
    "through": "nell",
    "number": "1",
    "on": "2026-05-12",
}


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize("path", WRITES)
@pytest.mark.parametrize("headers", [
    {"Origin": "http://example.org"},
    {"Origin": "null"},
    {"Origin": "http://127.0.0.1:1"},
    {"Origin": "https://127.0.0.1:{port}"},
    {"Sec_Fetch_Site": "cross-site"},
    {"Sec_Fetch_Site": "same-site"},
    {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "navigate", "Sec_Fetch_Dest": "document"},
], ids=lambda headers: " ".join(headers.values()))  # fmt: skip
def test_another_site_cannot_write_even_with_the_secret(desk, path, headers):
    given = {name: value.format(port=desk.port) for name, value in headers.items()}
    answer = desk.send(path, {**FORM, "secret": desk.secret()}, **given)
    assert answer.status == 403
    assert "nothing was changed" in answer.read().decode()


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize("path", WRITES)
@pytest.mark.parametrize("secret", ["", "guessed", "é" * 40])
def test_nothing_is_written_without_the_secret(desk, path, secret):
    answer = desk.send(path, {**FORM, "secret": secret}, Origin=desk.origin)
    assert answer.status == 403


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize("host", ["example.org", "127.0.0.1", "localhost.example.org:80"])
def test_a_request_that_names_another_host_writes_nothing(desk, host):
    answer = desk.send("/desk/new/partner", {**FORM, "secret": desk.secret()}, host=host)
    assert answer.status == 403


@pytest.mark.parametrize("headers", [
    {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "no-cors", "Sec_Fetch_Dest": "image"},
    {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "cors", "Origin": "http://example.org"},
    {"Sec_Fetch_Site": "same-site", "Sec_Fetch_Mode": "navigate", "Sec_Fetch_Dest": "iframe"},
], ids=["picture", "script", "frame"])  # fmt: skip
@pytest.mark.parametrize("path", ["/desk/", "/desk/edit/quilts/low-tide", "/desk/assets/desk.js", "/desk/changes"])
def test_another_site_cannot_read(desk, path, headers):
    answer = desk.ask("GET", path, **headers)
    assert answer.status == 403
    assert "Low Tide" not in answer.read().decode()


def test_a_link_from_another_site_opens_a_page_and_no_more(desk):
    link = {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "navigate", "Sec_Fetch_Dest": "document"}
    assert desk.ask("GET", "/desk/", **link).status == 200


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize("path", [
    *WRITES, "/desk/", "/desk/match", "/desk/changes", "/desk/where/low-tide", "/desk/saved?build=1&to=/binder/",
    "/desk/move/hand-over?quilt=low-tide&through=nell&on=2026-05-12&show=yes", "/desk/move/lost?quilt=ebb&show=yes",
    "/desk/edit/quilts/low-tide?title=Other", "/desk/changes/back?number=1",
])  # fmt: skip
def test_reading_a_page_changes_nothing(desk, path):
    assert desk.ask("GET", path).status in (200, 302)


@pytest.mark.parametrize("path", ["/desk/", "/desk/edit/quilts/low-tide", "/desk/new/quilt", "/desk/match"])
def test_pages_are_kept_nowhere_framed_nowhere_and_may_do_little(desk, path):
    headers = desk.ask("GET", path).headers
    assert headers["Cache-Control"] == "no-store"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "Access-Control-Allow-Origin" not in headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy and "form-action 'self'" in policy
    assert "unsafe" not in policy and "*" not in policy


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize("path", [
    "/desk/edit/quilts/..%2f..%2fsecret", "/desk/edit/quilts/%2e%2e%2fcollection", "/desk/edit/quilts/secret%00",
    "/desk/edit/pages/about", "/desk/edit/quilts/..", "/desk/photo/../../secret.yaml", "/desk/photo/..%2fcollection.yaml",
    "/desk/photo/%2fetc%2fpasswd", "/pictures/..%2findex.json", "/desk/assets/..%2f..%2fpages.py", "/desk/assets/room.py",
    "/desk/photos/..%2fx", "/desk/where/..%2f..", "/desk/sheet/..", "/desk/move/..", "/desk/new/collection",
])  # fmt: skip
def test_nothing_outside_the_collection_can_be_named(desk, path):
    answer = desk.ask("GET", path)
    assert answer.status in (400, 404), answer.status
    assert "not for the desk" not in answer.read().decode("utf-8", "replace")
    sent = desk.send(path, {**FORM, "secret": desk.secret()}, Origin=desk.origin)
    assert sent.status in (400, 404, 405, 409), sent.status


def test_a_record_that_is_a_link_is_not_written_through(desk):
    link, elsewhere = desk.folder / "quilts" / "linked.yaml", desk.folder.parent / "secret.yaml"
    link.symlink_to(elsewhere)
    try:
        page = desk.ask("GET", "/desk/edit/quilts/linked")
        assert page.status == 409
        assert "not for the desk" not in page.read().decode()
        answer = desk.send(
            "/desk/edit/quilts/linked", {"secret": desk.secret(), "digest": "", "title": "Other"}, Origin=desk.origin
        )
        assert answer.status == 409
        assert elsewhere.read_text() == "title: not for the desk\n"
    finally:
        link.unlink()


@pytest.mark.usefixtures("unchanged")
def test_what_is_too_large_is_told_and_thrown_away(desk):
    answer = desk.ask("POST", "/desk/edit/quilts/low-tide", b"title=" + b"x" * 2_100_000, Origin=desk.origin)
    assert answer.status == 413
    assert "At most 2 MB" in answer.read().decode()


@pytest.mark.usefixtures("unchanged")
def test_more_photos_than_may_come_at_once_are_told_once_they_are_all_sent(desk):
    """Counted while they come, and never kept: the preview stays small."""
    connection = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=300)
    connection.putrequest("POST", "/desk/new/quilt")
    given = {"Origin": desk.origin, "Cookie": desk.opened.cookie, "Content-Type": "multipart/form-data; boundary=x"}
    for name, value in {**given, "Content-Length": "130000000"}.items():
        connection.putheader(name, value)
    connection.endheaders()
    for _ in range(130):
        connection.send(bytes(1_000_000))
    answer = connection.getresponse()
    assert answer.status == 413
    assert "At most 120 MB" in answer.read().decode()
    # Linux tells the most memory that the process ever had.
    status = Path(f"/proc/{desk.process.pid}/status")
    if status.exists():
        peak = int(re.search(r"VmHWM:\s+(\d+)", status.read_text())[1])
        assert peak < 400_000


@pytest.mark.usefixtures("unchanged")
def test_a_page_that_takes_nothing_takes_nothing_large(desk):
    try:
        answer = desk.ask("POST", "/binder/", b"x" * 1_000_000)
    except ConnectionError:
        return
    assert answer.status in (400, 405, 413)


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize("body", [b"--x\r\n", b"\xff\xfe" * 40, b""])
def test_what_is_no_form_is_refused(desk, body):
    answer = desk.ask(
        "POST", "/desk/new/quilt", body, Origin=desk.origin, Content_Type="multipart/form-data; boundary=x"
    )
    assert answer.status in (400, 403)


def test_leading_on_never_leaves_this_machine(desk):
    for to in (
        "//example.org/",
        "https://example.org/",
        "/\\example.org",
        "javascript:alert(1)",
        "/desk/../../x",
        "/desk/a b",
    ):
        page = desk.ask("GET", "/desk/when-built?to=" + quote(to))
        assert page.status == 302
        assert page.headers["Location"] == "/desk/"


def test_a_record_is_shown_as_text_whatever_it_holds(desk):
    odd = '<script>alert("x")</script>\'"&'
    (desk.folder / "quilts" / "odd.yaml").write_text(
        f"title: {odd!r}\nnotes: |\n  </textarea>{odd}\n".replace("\\'", "''")
    )
    try:
        page = desk.read("/desk/edit/quilts/odd")
        assert "<script>alert" not in page and "</textarea><script" not in page
        assert "&lt;script&gt;" in page
        assert hidden(page, "secret")
    finally:
        (desk.folder / "quilts" / "odd.yaml").unlink()


def test_a_record_that_is_gone_is_not_written_again(desk):
    record = desk.folder / "quilts" / "passing.yaml"
    record.write_text("title: Passing\n")
    page = desk.read("/desk/edit/quilts/passing")
    record.unlink()
    answer = desk.send(
        "/desk/edit/quilts/passing",
        {"secret": desk.secret(), "digest": hidden(page, "digest"), "title": "Passing by"},
        Origin=desk.origin,
    )
    assert answer.status == 409 and "moved or removed" in answer.read().decode()
    assert not record.exists()


def test_sending_the_same_form_twice_writes_once(desk):
    record = desk.folder / "quilts" / "bramble.yaml"
    page = desk.read("/desk/edit/quilts/bramble")
    form = {"secret": desk.secret(), "digest": hidden(page, "digest"), "title": "Bramble", "kept_at": "Attic"}
    for _ in range(2):
        answer = desk.send("/desk/edit/quilts/bramble", form, Origin=desk.origin)
        assert answer.status == 303
        written = record.read_text()
    assert "said=same" in answer.headers["Location"]
    assert written.count("Attic") == 1


@pytest.mark.parametrize("javascript", [True, False], ids=["with scripts", "without"])
def test_what_is_written_in_an_open_form_outlives_a_new_start_of_the_preview(tmp_path, browser, javascript):
    """The browser has the cookie of the former run: it reads why, opens the new address, and sends the form again."""
    folder = tmp_path / "mine"
    write_records(folder)
    former = DeskServed(folder, tmp_path / "cache")
    context = browser.new_context(java_script_enabled=javascript)
    page = context.new_page()
    page.goto(former.opening("/desk/edit/quilts/bramble"))
    page.get_by_label("Where it lies").fill("Under the stairs")
    former.close()
    now = DeskServed(folder, tmp_path / "cache", former.port)
    try:
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("main")).to_contain_text("Nothing was changed. What you wrote can still be saved")
        context.new_page().goto(now.opening("/"))
        page.reload()
        expect(page.get_by_label("Where it lies")).to_have_value("Under the stairs")
        assert "stairs" not in now.text("quilts/bramble.yaml")
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_text("Saved.").or_(page.get_by_text("Under the stairs"))).to_be_visible()
        assert "kept_at: Under the stairs\n" in now.text("quilts/bramble.yaml")
    finally:
        context.close()
        now.close()
