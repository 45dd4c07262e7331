"""The preview's key: without it no page, file, script or socket is read, and nothing is written, by whatever account."""

import http.client
import json
import os
import signal
import stat
import string
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest
from desk_served import RECORDS, DeskServed, write_records
from hypothesis import given, settings
from hypothesis import strategies as st
from tornado.httputil import HTTPHeaders, HTTPServerRequest, RequestStartLine

from site_builder.preview.run_key import RunKey, without_key
from site_builder.preview.server import PreviewApplication

PRIVATE = ("Quilts of mine", "Low Tide", "River Street", "Nell", "secret")
ROUTES = [
    rule.matcher.regex
    for rule in PreviewApplication(Path("output"), None, [], RunKey(1), None).wildcard_router.rules
]  # fmt: skip
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
SHOWN = (
    "/", "/binder/", "/binder/quilts/low-tide.html", "/binder/assets/css/base.css", "/catalogue/", "/catalogue/catalogue.json",
    "/catalogue/quilts/low-tide.html", "/livereload.js", "/shows-current-build.js", "/build-name", "/desk/", "/desk/new/quilt",
    "/desk/edit/quilts/low-tide", "/desk/edit/collection", "/desk/changes", "/desk/where/low-tide", "/desk/move/hand-over",
    "/desk/match", "/desk/photos/low-tide", "/desk/assets/desk.js",
)  # fmt: skip
LISTENS = {
    "Upgrade": "websocket",
    "Connection": "Upgrade",
    "Sec_WebSocket_Version": "13",
    "Sec_WebSocket_Key": "AAAAAAAAAAAAAAAAAAAAAA==",
}


def served(folder: Path, port: int = 0) -> DeskServed:
    write_records(folder / "mine")
    return DeskServed(folder / "mine", folder / "cache", port)


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Iterator[DeskServed]:
    running = served(tmp_path_factory.mktemp("one"))
    running.read("/binder/index.html")
    yield running
    running.close()


@pytest.fixture(scope="module")
def other(tmp_path_factory) -> Iterator[DeskServed]:
    """A second preview on the same machine, of another collection."""
    running = served(tmp_path_factory.mktemp("other"))
    yield running
    running.close()


def assert_refused(answer: http.client.HTTPResponse, method: str = "GET") -> None:
    body = answer.read().decode()
    assert answer.status == 403
    assert "Set-Cookie" not in answer.headers
    assert answer.headers["Cache-Control"] == "no-store" and answer.headers["Referrer-Policy"] == "no-referrer"
    if method == "HEAD":
        return
    assert "with the whole address that the preview gave you when it was started" in body
    assert not [word for word in PRIVATE if word in body]


def name_and_value(cookie: str) -> tuple[str, str]:
    name, _, value = cookie.partition("=")
    return name, value


# What has no key and no cookie ------------------------------------------------------------------

STRANGERS: dict[str, Callable[[DeskServed, DeskServed], tuple[str, str]]] = {
    "nothing": lambda desk, other: ("", ""),
    "no key": lambda desk, other: ("?key=", ""),
    "a guessed key": lambda desk, other: (f"?key={'0' * 48}", ""),
    "a key cut short": lambda desk, other: (f"?key={desk.opened.key[:-1]}", ""),
    "a key and more": lambda desk, other: (f"?key={desk.opened.key}0", ""),
    "a key that is no text": lambda desk, other: ("?key=%ff%00%c3", ""),
    "the key of another preview": lambda desk, other: (f"?key={other.opened.key}", ""),
    "the key in a name of other letters": lambda desk, other: (f"?KEY={desk.opened.key}", ""),
    "a guessed cookie": lambda desk, other: ("", f"{name_and_value(desk.opened.cookie)[0]}={'A' * 43}"),
    "an empty cookie": lambda desk, other: ("", f"{name_and_value(desk.opened.cookie)[0]}="),
    "a cookie that is no text": lambda desk, other: ("", f"{name_and_value(desk.opened.cookie)[0]}=\xff\xfe"),
    "the key as a cookie": lambda desk, other: ("", f"{name_and_value(desk.opened.cookie)[0]}={desk.opened.key}"),
    "the cookie as a key": lambda desk, other: (f"?key={name_and_value(desk.opened.cookie)[1]}", ""),
    "the cookie of another port": lambda desk, other: ("", other.opened.cookie),
    "the cookie of another port under this one's name":
        lambda desk, other: ("", f"{name_and_value(desk.opened.cookie)[0]}={name_and_value(other.opened.cookie)[1]}"),
}  # fmt: skip


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.pattern)
def test_no_route_answers_without_the_key(desk, route, method):
    """Whatever is added to the routes is tried here too."""

    @settings(max_examples=settings.default.max_examples // 5)  # of each method; the key is asked for before all routes
    @given(path=st.from_regex(route, fullmatch=True, alphabet=string.ascii_letters + string.digits + "/-._"))
    def try_one(path: str) -> None:
        body = None if method in ("GET", "HEAD") else b"title=Other"
        assert_refused(desk.ask(method, path, body, Cookie=""), method)
        if method == "GET":
            assert "Not opened yet" not in desk.ask(method, path).read().decode("utf-8", "replace")

    try_one()


@pytest.mark.parametrize("path", SHOWN)
def test_what_is_shown_with_the_cookie_is_refused_without(desk, path):
    assert desk.ask("GET", path).status == 200
    assert_refused(desk.ask("GET", path, Cookie=""))


@pytest.mark.parametrize("who", STRANGERS)
@pytest.mark.parametrize(
    "path", ["/", "/binder/quilts/low-tide.html", "/desk/edit/quilts/low-tide", "/nothing", "/livereload"]
)
def test_what_is_nearly_right_is_refused(desk, other, who, path):
    asked, cookie = STRANGERS[who](desk, other)
    assert_refused(desk.ask("GET", path + asked, Cookie=cookie))
    assert_refused(desk.ask("POST", path + asked, b"", Cookie=cookie))


def test_what_is_not_there_is_refused_in_the_same_words(desk):
    """Who may not read learns no name either."""
    words = {
        desk.ask("GET", path, Cookie="").read().decode().replace(path, "")
        for path in ("/binder/quilts/ebb.html", "/binder/quilts/x.html")
    }
    assert len(words) == 1


@pytest.mark.parametrize(
    "path", ["/desk/edit/quilts/low-tide", "/desk/new/partner", "/desk/move/lost", "/desk/changes/back"]
)
def test_nothing_is_written_without_the_cookie_even_with_the_secret_of_a_form_and_the_key(desk, path):
    before = {name: desk.text(name) for name in RECORDS}
    form = urlencode(
        {"secret": desk.secret(), "name": "A stranger", "title": "Other", "quilt": "ebb", "number": "1"}
    ).encode()
    for address in (path, desk.opened.opening(path).removeprefix(desk.origin)):
        answer = desk.ask("POST", address, form, Cookie="", Origin=desk.origin)
        assert "Nothing was changed" in answer.read().decode() and answer.status == 403
    assert {name: desk.text(name) for name in RECORDS} == before
    assert sorted(path.name for path in desk.folder.glob("*/*.yaml")) == sorted(
        Path(name).name for name in RECORDS if "/" in name
    )


def test_who_sends_photos_without_the_cookie_reads_why_they_were_refused(desk):
    sent = bytes(30_000_000)
    assert_refused(desk.ask("POST", "/desk/new/quilt", sent, Cookie="", Content_Type="multipart/form-data; boundary=x"))


def test_nobody_listens_for_builds_without_the_cookie(desk):
    assert_refused(desk.ask("GET", "/livereload", Cookie="", Origin=desk.origin, **LISTENS))
    assert desk.ask("GET", "/livereload", Origin=desk.origin, **LISTENS).status == 101


def test_a_request_that_names_another_host_is_given_no_cookie_for_the_key(desk):
    answer = desk.ask("GET", f"/?key={desk.opened.key}", host="example.org", Cookie="")
    assert answer.status == 403 and "Set-Cookie" not in answer.headers
    assert desk.opened.key not in answer.read().decode()


# The key, and what it is exchanged for ----------------------------------------------------------


@pytest.mark.parametrize("method", ["GET", "HEAD"])
@pytest.mark.parametrize(("path", "led_to"), [
    ("/?key={key}", "/"),
    ("/desk/saved?build=1&key={key}&to=/binder/", "/desk/saved?build=1&to=/binder/"),
    ("/desk/?key=&key={key}", "/desk/"),
    ("/desk/?%6bey={key}&a=%20+b", "/desk/?a=%20+b"),
    ("//example.org/?key={key}", "//example.org/"),
    ("/\\example.org?key={key}", "/%5Cexample.org"),
    ("/nothing/%2e%2e/here?key={key}", "/nothing/%2e%2e/here"),
])  # fmt: skip
def test_the_key_is_exchanged_for_a_cookie_and_leads_to_the_same_address_without_it(desk, method, path, led_to):
    answer = desk.ask(method, path.format(key=desk.opened.key), Cookie="")
    assert answer.status == 303
    assert answer.headers["Location"] == desk.origin + led_to
    assert answer.headers["Referrer-Policy"] == "no-referrer" and answer.headers["Cache-Control"] == "no-store"
    cookie, *attributes = answer.headers["Set-Cookie"].split("; ")
    assert cookie == desk.opened.cookie and cookie.startswith(f"counterpane-{desk.port}=")
    assert sorted(attributes) == ["HttpOnly", "Path=/", "SameSite=Strict"]


@given(st.text(alphabet="/\\.:@?&=#%ab k\xff", max_size=12), st.text(alphabet="key=&%6b+x", max_size=12))
def test_leading_on_without_the_key_never_leaves_this_machine(path, asked):
    asked_for = RequestStartLine("GET", f"{path}?{asked}&key=abc", "HTTP/1.1")
    request = HTTPServerRequest(start_line=asked_for, headers=HTTPHeaders({"Host": "127.0.0.1:8000"}))
    led_to = urlsplit(without_key(request))
    assert (led_to.scheme, led_to.netloc) == ("http", "127.0.0.1:8000")
    assert "abc" not in led_to.query
    assert without_key(request).isascii() and " " not in without_key(request)


def test_the_same_address_opens_one_browser_after_another(desk):
    cookies = {desk.ask("GET", f"/?key={desk.opened.key}", Cookie="").headers["Set-Cookie"] for _ in range(3)}
    assert len(cookies) == 1
    again = desk.ask("GET", f"/binder/?key={desk.opened.key}")
    assert again.status == 303 and again.headers["Location"] == f"{desk.url}binder/"


def test_an_old_key_in_a_bookmark_does_no_harm_once_the_browser_has_the_cookie(desk):
    answer = desk.ask("GET", "/binder/?key=old")
    assert (answer.status, answer.headers["Location"]) == (303, f"{desk.url}binder/")


def test_the_address_opens_under_the_other_name_of_this_machine(desk):
    name = f"localhost:{desk.port}"
    answer = desk.ask("GET", f"/desk/?key={desk.opened.key}", host=name, Cookie="")
    assert answer.headers["Location"] == f"http://{name}/desk/"


def test_two_previews_are_open_in_one_browser(desk, other):
    both = f"{desk.opened.cookie}; {other.opened.cookie}"
    for running in (desk, other):
        assert running.ask("GET", "/desk/", Cookie=both).status == 200
    assert name_and_value(desk.opened.cookie)[0] != name_and_value(other.opened.cookie)[0]
    assert desk.opened.key != other.opened.key


def test_key_and_cookie_end_with_the_run_even_at_the_same_port(tmp_path):
    former = served(tmp_path)
    former.close()
    now = served(tmp_path, former.port)
    try:
        assert_refused(now.ask("GET", "/binder/", Cookie=former.opened.cookie))
        assert_refused(now.ask("GET", f"/?key={former.opened.key}", Cookie=""))
        assert now.ask("GET", "/desk/").status == 200
    finally:
        now.close()


@pytest.mark.parametrize("path", [*SHOWN, "/nothing", "/desk/nothing"])
def test_no_page_bears_key_or_cookie_or_tells_another_site_where_it_is(desk, path):
    answer = desk.ask("GET", path)
    said = str(answer.headers) + answer.read().decode("utf-8", "replace")
    assert desk.opened.key not in said and name_and_value(desk.opened.cookie)[1] not in said
    if "text/html" in answer.headers["Content-Type"]:
        assert answer.headers["Referrer-Policy"] == "same-origin"


def test_the_key_is_in_no_file_and_in_no_list_of_processes(desk):
    hidden = [desk.opened.key.encode(), name_and_value(desk.opened.cookie)[1].encode()]
    files = [path for folder in (desk.folder, desk.cache) for path in folder.rglob("*") if path.is_file()]
    assert len(files) > 50
    process = Path(f"/proc/{desk.process.pid}")
    files += [process / name for name in ("cmdline", "environ") if process.exists()]
    assert not [path for path in files for key in hidden if key in path.read_bytes()]


def test_what_is_asked_for_is_not_told_in_the_terminal(tmp_path):
    running = served(tmp_path)
    running.read("/binder/index.html")
    for path in (
        f"/?key={running.opened.key}",
        "/?key=guessed",
        "/binder/quilts/low-tide.html",
        "/desk/edit/quilts/none",
        "/%00",
        "/desk/%ff",
    ):
        for cookie in ("", running.opened.cookie):
            running.ask("GET", path, Cookie=cookie).read()
            running.ask("POST", path, b"\xff", Cookie=cookie).read()
    running.process.send_signal(signal.SIGINT)
    _, said = running.process.communicate(timeout=300)
    assert not [word for word in (running.opened.key, "guessed", "low-tide", "127.0.0.1", "Traceback") if word in said]


# A second account -------------------------------------------------------------------------------


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can become another account")
def test_another_account_of_this_machine_reads_no_page_and_writes_nothing(desk):
    """It has all that an account can have but the key: the port, the addresses, and the secret of a form."""
    record, before, secret = "quilts/bramble.yaml", desk.text("quilts/bramble.yaml"), desk.secret()
    form = urlencode({"secret": secret, "title": "Stolen"}).encode()
    kept = [path for path in (desk.cache / "counterpane").iterdir() if path.is_dir()]

    def attempts() -> dict[str, object]:
        read = {path: desk.ask("GET", path, Cookie="").status for path in SHOWN}
        written = desk.ask("POST", "/desk/edit/quilts/bramble", form, Cookie="", Origin=desk.origin).status
        with_key = desk.ask("GET", "/desk/").status
        looked_into = []
        for folder in kept:
            try:
                looked_into += os.listdir(folder)
            except PermissionError:
                pass
        try:
            environment = Path(f"/proc/{desk.process.pid}/environ").read_bytes()
        except OSError:
            environment = b""
        return {
            "account": os.geteuid(),
            "read": read,
            "written": written,
            "with key": with_key,
            "files": looked_into,
            "env": len(environment),
        }

    with way_open_to_all(desk.cache):  # so that the mode of the kept folder itself is what is tried
        found = as_another_account(attempts)
    assert found["account"] != os.geteuid()
    assert set(found["read"].values()) == {403}
    assert found["written"] == 403 and desk.text(record) == before
    assert found["files"] == [] and kept and found["env"] == 0
    assert found["with key"] == 200, "the attempts themselves are sound"


@contextmanager
def way_open_to_all(folder: Path) -> Iterator[None]:
    former = {each: each.stat().st_mode for each in (folder, *folder.parents) if not each.stat().st_mode & stat.S_IXOTH}
    for each, mode in former.items():
        each.chmod(mode | stat.S_IXOTH)
    try:
        yield
    finally:
        for each, mode in former.items():
            each.chmod(mode)


def as_another_account(attempt: Callable[[], dict[str, object]], account: int = 65534) -> dict[str, object]:
    """What `attempt` gives in a process of an account without rights; 65534 is nobody's."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.setgroups([])
            os.setgid(account)
            os.setuid(account)
            found = attempt()
        except BaseException as error:  # noqa: BLE001  a forked child never goes on as the test
            found = {"error": repr(error)}
        os.write(writer, json.dumps(found).encode())
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader, "rb") as told:
        found = json.loads(told.read())
    os.waitpid(child, 0)
    return found
