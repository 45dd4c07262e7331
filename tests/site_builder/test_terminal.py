"""What stands in records is shown on a terminal, and never obeyed by it."""

import pytest
from click.testing import CliRunner

from site_builder.cli.main import cli
from site_builder.terminal import harmless

WORDS = "A\\e]0;owned\\aB\\e[2J\\u202eC\\u0085\\x9b31m"
"""As YAML writes it: names a window, clears the screen, turns writing round."""


@pytest.fixture
def records(tmp_path, write_collection):
    return write_collection(
        tmp_path / "records",
        {
            "quilts/a.yaml": f'title: "{WORDS}"\nfinished_size: 60 x 60\nkept_at: "{WORDS}"\n',
            "partners/nell.yaml": f'name: "Nell {WORDS}"\nkind: go-between\n',
            "partners/river.yaml": f'name: "River {WORDS}"\nkind: charity\n',
            "requests/spring.yaml": f'partner: river\nlines: [{{id: cots, count: 2, note: "{WORDS}"}}]\n',
        },
    )


def test_no_command_obeys_what_stands_in_records(records):
    for command in (
        "check {}", "check {} --gaps", "set-free {} a --yes", "match {} --on 2026-05-01", "hand-over {} a --through nell --yes --on 2026-05-12",
        "delivered {} a --to river --yes --on 2026-05-20", "report {} 2026 --to {}.csv --on 2026-06-01", "undo {} --list", "undo {} --dry-run",
        "undo {} --yes", "undo {} --again --yes",
    ):  # fmt: skip
        done = CliRunner().invoke(cli, command.format(records, records).split())
        assert done.exit_code == 0, (command, done.output, done.exception)
        assert harmless(done.output) == done.output, command


@pytest.mark.parametrize("text", ["שמיכת טלאים", "می\u200cخواهم", "60\u00a01/2", "two\nlines", "👩\u200d👧", "e\u0301"])
def test_words_of_every_script_are_shown_as_they_are(text):
    assert harmless(text) == text
