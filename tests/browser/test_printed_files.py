"""Files that are written to be printed fit a sheet of paper and a phone, in wide and narrow letters."""

import subprocess
import sys
from pathlib import Path

import pytest
from browser_rules import crowded_words, print_faults, sideways_scroll
from letters import SIZES, shown_in

ROOT = Path(__file__).parents[2]
COMMANDS = {
    "report": ["report", "demo_collection", "2025", "--on", "2026-11-25"],
    "handover sheet": ["handover-sheet", "demo_collection", "--through", "nell"],
}


@pytest.fixture(scope="module", params=COMMANDS)
def file(request, tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("printed") / "file.html"
    command = [Path(sys.executable).with_name("counterpane"), *COMMANDS[request.param], "--to", path]
    subprocess.run(command, cwd=ROOT, capture_output=True, timeout=300, check=True)
    return path


@pytest.mark.parametrize("letters", SIZES)
def test_a_file_to_print_fits_a_sheet_and_a_phone(file, letters, open_page):
    page = open_page(file.as_uri(), within=file.as_uri(), kept=True, screen="sheet of paper", letters=letters)
    assert shown_in(page) == letters
    assert print_faults(page) == []
    assert crowded_words(page) == []
    page.emulate_media(media="screen")
    page.set_viewport_size({"width": 320, "height": 640})
    assert sideways_scroll(page) == []


def test_a_total_is_printed_once_and_not_at_the_foot_of_each_sheet(file, open_page):
    page = open_page(file.as_uri(), within=file.as_uri(), screen="sheet of paper")
    page.emulate_media(media="print")
    shown = page.eval_on_selector_all("tfoot", "feet => feet.map(foot => getComputedStyle(foot).display)")
    assert "table-footer-group" not in shown
