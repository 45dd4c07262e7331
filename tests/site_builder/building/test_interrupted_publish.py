"""An edition that was made read-only, or whose build was killed, is replaced by the next build and leaves nothing."""

import os
import shutil
import signal
import subprocess
import sys
import traceback
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from site_builder.building import publish as publishing
from site_builder.building.publish import editions_replaced, left_lying
from site_builder.cli.build_summary import asides
from site_builder.incremental.manifest import BuildReport
from site_builder.removal import remove_tree
from tests.support.small_editions import BOTH, everything, publish

# Made read-only ---------------------------------------------------------------------------------


def as_somebody(act) -> None:
    """Do that in a process of its own, of an account that may not do everything. Fails where it fails."""
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setgid(65534)
                os.setuid(65534)
            act()
        except BaseException:  # noqa: BLE001  a forked child never goes on as the test
            traceback.print_exc()
            os._exit(1)
        os._exit(0)
    assert os.waitpid(child, 0)[1] == 0


@pytest.fixture
def somebodys() -> Path:
    """A folder that such an account may write into."""
    with TemporaryDirectory() as folder:
        if os.geteuid() == 0:
            os.chown(folder, 65534, 65534)
        yield Path(folder)
        remove_tree(Path(folder) / "output")


def read_only(folder: Path) -> None:
    for path in (folder, *folder.rglob("*")):
        path.chmod(path.stat().st_mode & 0o555)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system starts processes in another way")
@pytest.mark.parametrize("exchanges", [True, False])
@pytest.mark.parametrize(
    "spoil",
    [
        lambda place: place.chmod(0o555),
        read_only,
        lambda place: (place / "quilts").chmod(0),
        lambda place: place.chmod(0),
    ],
    ids=["555", "all of it", "000 within", "000"],
)
def test_an_edition_that_was_made_read_only_is_replaced_and_leaves_nothing(somebodys, monkeypatch, exchanges, spoil):
    if not exchanges:
        monkeypatch.setattr(publishing, "exchange", lambda one, other: False)
    output = somebodys / "output"

    def publish_over_and_over() -> None:
        publish(output, "before")
        for words in ("once", "twice", "thrice"):
            spoil(output / "catalogue")
            publish(output, words)

    as_somebody(publish_over_and_over)
    assert set(everything(output)) == {
        f"{name}{path}" for name in BOTH for path in ("", "/index.html", "/quilts", "/quilts/thrice.html")
    }
    assert left_lying(output) == ()


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can give a folder away")
def test_what_can_not_be_removed_is_told_and_hinders_no_build(somebodys):
    output = somebodys / "output"
    as_somebody(lambda: publish(output, "before"))
    for place in (output / ".catalogue.new", output / ".catalogue.old", output / ".binder.new"):
        (place / "quilts").mkdir(parents=True)
        (place / "quilts/former.html").write_text("private")
    as_somebody(lambda: publish(output, "once"))
    as_somebody(lambda: publish(output, "twice"))
    assert (output / "catalogue/quilts/twice.html").exists()
    assert [path.name for path in left_lying(output)] == [".binder.new", ".catalogue.new", ".catalogue.old"]
    report = BuildReport(1, 1, 0, (), (), left_lying=left_lying(output))
    assert [f"{output}/.binder.new is left from a former build" in said for said in asides(report)] == [
        True,
        False,
        False,
    ]


# Killed in between ------------------------------------------------------------------------------

KILLED = """
import os, signal, sys
from pathlib import Path
from site_builder.building import publish as publishing
from site_builder.building.publish import MARK, editions_replaced

publishing.exchange = lambda one, other: False
output, renamings = Path(sys.argv[1]), int(sys.argv[2])
really_rename = Path.rename

def rename_then_die(path, target):
    global renamings
    if renamings == 0:
        os.kill(os.getpid(), signal.SIGKILL)
    renamings -= 1
    return really_rename(path, target)

Path.rename = rename_then_die
with editions_replaced(output, ["catalogue", "binder"]) as staged:
    for edition in staged.values():
        edition.write("index.html", MARK)
"""


@pytest.mark.parametrize("renamings", range(4))
def test_a_build_that_was_killed_is_healed_by_the_next(output, renamings):
    run = subprocess.run([sys.executable, "-c", KILLED, output, str(renamings)], timeout=300, check=False)
    assert run.returncode == -signal.SIGKILL
    publish(output, "after")
    assert set(everything(output)) == {
        f"{name}{path}" for name in BOTH for path in ("", "/index.html", "/quilts", "/quilts/after.html")
    }


def test_the_former_edition_comes_back_even_if_the_next_build_fails_too(output):
    before = everything(output)
    run = subprocess.run([sys.executable, "-c", KILLED, output, "1"], timeout=300, check=False)
    assert run.returncode == -signal.SIGKILL
    assert not (output / "catalogue").exists()
    with suppress(ZeroDivisionError), editions_replaced(output, BOTH):
        raise ZeroDivisionError
    assert everything(output) == before


def test_a_build_of_one_edition_heals_the_other_too(output):
    shutil.move(output / "binder", output / ".binder.old")
    publish(output, "after", names=("catalogue",))
    assert (output / "binder/quilts/before.html").exists()
