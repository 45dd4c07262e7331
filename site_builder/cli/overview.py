"""The list of commands in `counterpane --help`, grouped by purpose."""

import click

# Each line fits a terminal of 80 columns. The full description is in the help of the command itself.
COMMANDS_BY_PURPOSE: dict[str, dict[str, str]] = {
    "Begin": {
        "begin": "Begin a collection in an empty folder.",
        "take-in": "Make draft records of a spreadsheet, or of photos.",
    },
    "Look and write": {
        "preview": "Show both editions and the desk, on this machine only.",
        "check": "Tell every problem in the records, then what is missing.",
        "undo": "Take back the newest change.",
        "build": "Build the public catalogue and the private binder.",
    },
    "Give": {
        "match": "Find the best plan for the open requests, with reasons.",
        "promise": "Accept a plan: its quilts are promised.",
        "hand-over": "Record that quilts have left the house.",
        "delivered": "Record where quilts have landed.",
        "acknowledged": "Record that a charity's letter has come.",
        "returned": "Record that quilts have come back.",
        "set-free": "Record that quilts in the house look for a home.",
        "lost": "Record that quilts can't be found.",
    },
    "Print": {
        "report": "Sum up a year of giving.",
        "handover-sheet": "Write the sheet of a batch once more.",
        "letter": "Write the letter that asks a charity to acknowledge.",
        "labels": "Write labels to sew on, or storage tags.",
        "insurance-list": "Write the list of what is kept, for an insurer.",
        "loan-sheet": "Write the sheet of what is out to a borrower.",
    },
    "For editors": {
        "schema": "Write JSON Schemas, which explain the fields.",
    },
}


class ByPurpose(click.Group):
    """A group of commands that lists them by purpose, in the order in which they are needed."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        width = max(len(name) for commands in COMMANDS_BY_PURPOSE.values() for name in commands)
        for purpose, commands in COMMANDS_BY_PURPOSE.items():
            with formatter.section(purpose):
                formatter.write_dl([(name.ljust(width), words) for name, words in commands.items()])
