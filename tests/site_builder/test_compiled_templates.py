"""Templates that were compiled by an earlier run."""

import marshal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import DictLoader, Environment

from collection.file_stamps import digest_of
from site_builder.compiled_templates import CompiledTemplates

TEXT = "Hello {{ name }}"
BOTH = {"page.html": TEXT, "desk/page.html": "{% include 'page.html' %} at the desk"}


def render(folder, *, made_with="this program", name="page.html", **changed):
    """What a run of the program makes of a template, and the names of those that it had to compile."""
    environment = Environment(loader=DictLoader(BOTH | changed), bytecode_cache=CompiledTemplates(folder, made_with))
    compiled = []
    compile_ = environment.compile

    def noting(source, name=None, filename=None, **more):
        compiled.append(name)
        return compile_(source, name, filename, **more)

    environment.compile = noting
    return environment.get_template(name).render(name="Nell"), compiled


@pytest.fixture
def folder(tmp_path):
    kept = tmp_path / "kept" / "templates"
    assert render(kept) == ("Hello Nell", ["page.html"])
    return kept


def test_what_was_compiled_is_not_compiled_again(folder):
    assert render(folder) == ("Hello Nell", [])


def test_templates_in_folders_are_kept_apart_from_those_of_the_same_name(folder):
    assert render(folder, name="desk/page.html") == ("Hello Nell at the desk", ["desk/page.html"])
    assert render(folder, name="desk/page.html") == ("Hello Nell at the desk", [])


def test_another_text_is_compiled_anew(folder):
    assert render(folder, **{"page.html": "Bye {{ name }}"}) == ("Bye Nell", ["page.html"])
    assert render(folder) == ("Hello Nell", ["page.html"])


def test_another_program_compiles_anew(folder):
    assert render(folder, made_with="a newer program") == ("Hello Nell", ["page.html"])


@pytest.mark.parametrize("name", BOTH)
def test_nothing_is_left_beside_what_is_kept(folder, name):
    render(folder, name=name)
    assert all(path.suffix == ".compiled" for path in folder.iterdir())


def test_a_folder_that_cannot_be_made_keeps_nothing(tmp_path):
    (tmp_path / "file").write_text("in the way")
    for _ in range(2):
        assert render(tmp_path / "file" / "templates") == ("Hello Nell", ["page.html"])


def test_a_folder_in_the_place_of_a_file_is_no_trouble(folder):
    (kept,) = folder.iterdir()
    kept.unlink()
    kept.mkdir()
    assert render(folder) == ("Hello Nell", ["page.html"])
    assert list(folder.iterdir()) == [kept]


@given(st.data())
def test_what_is_damaged_is_compiled_anew(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("kept")
    render(folder)
    (kept,) = folder.iterdir()
    sound = kept.read_bytes()
    at = data.draw(st.integers(0, len(sound) - 1))
    damaged = data.draw(st.sampled_from([sound[:at], sound[:at] + bytes([sound[at] ^ 1]) + sound[at + 1 :]]))
    kept.write_bytes(damaged)
    assert render(folder) == ("Hello Nell", ["page.html"])
    assert render(folder) == ("Hello Nell", [])


def test_code_that_another_program_put_there_is_not_run(folder):
    (kept,) = folder.iterdir()
    code = marshal.dumps(compile("raise SystemExit('run')", "elsewhere", "exec"))
    for head in (b"", kept.read_bytes().partition(b"\n")[0], digest_of(code).encode()):
        kept.write_bytes(head + b"\n" + code)
        assert render(folder) == ("Hello Nell", ["page.html"])


def test_they_lie_where_python_keeps_what_it_compiles(monkeypatch, tmp_path):
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    monkeypatch.setattr("sys.pycache_prefix", str(tmp_path))
    kept = CompiledTemplates.of_the_program()
    environment = Environment(loader=DictLoader(BOTH), bytecode_cache=kept)
    environment.get_template("page.html")
    (found,) = tmp_path.rglob("*.compiled")
    assert found.parent.name == "templates"


def test_where_python_is_to_keep_nothing_nothing_is_kept(monkeypatch):
    monkeypatch.setattr("sys.dont_write_bytecode", True)
    assert CompiledTemplates.of_the_program() is None
