"""The list of commands that `counterpane --help` shows."""

from click.testing import CliRunner

from site_builder.cli.main import cli
from site_builder.cli.overview import COMMANDS_BY_PURPOSE


def test_every_command_is_listed_once_and_nothing_else():
    listed = [name for commands in COMMANDS_BY_PURPOSE.values() for name in commands]
    assert sorted(listed) == sorted(cli.commands)


def test_each_command_is_told_on_one_line_that_no_terminal_breaks():
    shown = CliRunner().invoke(cli, ["--help"], terminal_width=80).output
    for commands in COMMANDS_BY_PURPOSE.values():
        for name, words in commands.items():
            assert any(line.split() == [name, *words.split()] for line in shown.splitlines())
