"""Matching and moving from the command line: shown first, recorded whole, refused in words."""

import json
import os
from datetime import date

import pytest

from collection.loading.loader import read_collection
from collection.matching.judgement import checks_in_short
from collection.matching.match import match

FILES = {
    "partners/river-street.yaml": "name: River Street Shelter\n",
    "partners/hill-hospice.yaml": "name: Hill Hospice\n",
    "partners/nell.yaml": "name: Nell\nkind: go-between\n",
    "requests/cots.yaml": (
        "partner: river-street\nthrough: nell\nlines:\n  - {id: small, count: 1, longer_side: at most 52, priority: must}\n"
    ),
    "quilts/low-tide.yaml": (
        "title: Low Tide   # the blue one\nnumber: 7\nfinished_size: 40 x 45\ncare: {washed: true, label: true}\n"
        "destination: free  # since spring\n"
    ),
    "quilts/high-tide.yaml": "title: High Tide\nfinished_size: 90 x 100\ndestination: free\n",
}


@pytest.fixture
def folder(tmp_path, write_collection):
    return write_collection(tmp_path / "quilts here", FILES)


def record(folder, quilt="low-tide") -> str:
    return (folder / f"quilts/{quilt}.yaml").read_text(encoding="utf-8")


def test_a_quilt_goes_from_the_wall_to_the_charitys_letter(run, folder, tmp_path):
    plan = tmp_path / "plan.yaml"
    code, printed, _ = run("match", folder, "--on", "2026-04-01", "--save", plan)
    assert code == 0
    assert "Low Tide (low-tide): 40 × 45 in" in printed and "High Tide (high-tide): " in printed
    assert run("promise", folder, plan)[0] == 0
    assert "is: promised" in record(folder) and "on: 2026-04-01" in record(folder)
    code, sheet, _ = run("hand-over", folder, "low-tide", "--through", "nell", "--on", "2026-05-12")
    assert code == 0
    quilt, mind, count = sheet.replace("\u00a0", " ").splitlines()
    assert (
        quilt == "No. 7; Low Tide; 40 × 45 in (101.5 × 114.5 cm); washed, labelled; On its way to River Street Shelter"
    )
    assert mind.startswith("Mind: If it goes to a baby: ") and mind.endswith("(Low Tide)")
    assert count == "1 quilt in all."
    assert run("delivered", folder, "low-tide", "--to", "hill-hospice", "--on", "2026-05-30")[0] == 0
    assert run("acknowledged", folder, "low-tide", "--on", "2026-06-02", "--letter", "hill.pdf")[0] == 0
    text = record(folder)
    assert text.startswith("title: Low Tide   # the blue one\nnumber: 7\n")
    for fact in (
        "to: hill-hospice",
        "meant_for: river-street",
        "acknowledged: 2026-06-02",
        "acknowledgement: hill.pdf",
    ):
        assert fact in text
    assert run("check", folder)[0] == 0


@pytest.mark.parametrize(("suits", "minded"), [("babies", True), ("seniors", False)])
def test_whom_quilts_go_to_decides_what_match_promise_and_hand_over_say_to_mind(run, folder, tmp_path, suits, minded):
    request = folder / "requests/cots.yaml"
    request.write_text(request.read_text().replace("count: 1", f"count: 1, suits: [{suits}]"))
    quilt = folder / "quilts/low-tide.yaml"
    quilt.write_text(quilt.read_text() + "features: [buttons]\n")
    plan = tmp_path / "plan.yaml"
    _, planned, _ = run("match", folder, "--on", "2026-04-01", "--save", plan)
    found = json.loads(run("match", folder, "--on", "2026-04-01", "--json")[1])["mind"]
    assert [mind["quilts"] for mind in found] == ([["low-tide"], ["low-tide"]] if minded else [])
    _, _, shown = run("promise", folder, plan, "--dry-run")
    run("promise", folder, plan)
    _, sheet, _ = run("hand-over", folder, "low-tide", "--through", "nell", "--on", "2026-05-12")
    for words in (planned, shown, sheet):
        for caution in ("Mind: A quilt does not belong in the place where a baby", "Mind: Buttons, beads"):
            assert (caution in words) is minded
        assert "If it goes to a baby" not in words


def test_a_dry_run_shows_the_change_and_makes_none(run, folder):
    before = record(folder)
    code, printed, told = run("hand-over", folder, "low-tide", "--through", "nell", "--on", "2026-05-12", "--dry-run")
    assert (code, printed) == (0, "")
    assert "Low Tide: looking for a home -> handed over to Nell on 12 May 2026" in told
    assert "Nothing was changed" in told
    assert record(folder) == before


def test_one_that_can_not_move_holds_the_whole_batch(run, folder):
    before = record(folder), record(folder, "high-tide")
    assert run("hand-over", folder, "high-tide", "--through", "nell", "--on", "2026-05-12")[0] == 0
    code, _, told = run("delivered", folder, "low-tide", "high-tide", "--on", "2026-05-30")
    assert code == 1
    assert "quilts/low-tide.yaml:5: destination: " in told
    assert record(folder) == before[0]
    assert "delivered" not in record(folder, "high-tide")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["hand-over", "low-tyde", "--through", "nell"], "low-tide"),
        (["hand-over", "low-tide", "--through", "river-street"], "is a charity"),
        (["hand-over", "low-tide"], "Say through which go-between it went, or to which charity."),
        (["acknowledged", "low-tide"], "looking for a home"),
        (["returned", "low-tide"], "looking for a home"),
    ],
)
def test_what_can_not_be_is_refused_in_words(run, folder, arguments, told):
    command, *rest = arguments
    before = record(folder)
    code, _, said = run(command, folder, *rest, "--on", "2026-05-12")
    assert code == 1
    assert told in said
    assert record(folder) == before


def test_a_plan_changed_by_hand_is_checked_again(run, folder, tmp_path):
    plan = tmp_path / "plan.yaml"
    plan.write_text("on: 2026-04-01\npromises:\n  - {quilt: high-tide, request: cots, line: small}\n")
    code, _, told = run("promise", folder, plan)
    assert code == 1
    assert f"{plan}:3: promises.1.quilt: " in told and "48 in too long" in told
    assert "promised" not in record(folder, "high-tide")


def test_a_promise_that_ends_leaves_the_quilt_free_and_its_history_whole(run, folder, tmp_path):
    plan = tmp_path / "plan.yaml"
    plan.write_text("on: 2026-04-01\npromises:\n  - {quilt: low-tide, request: cots, line: small}\n")
    assert run("promise", folder, plan)[0] == 0
    assert run("set-free", folder, "low-tide", "--on", "2026-04-20", "--note", "they had enough")[0] == 0
    assert "destination: free" in record(folder)
    assert "they had enough" in record(folder) and "history:" in record(folder)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_file_that_is_named_and_is_none_is_told_and_not_waited_for(run, folder, tmp_path, capsys):
    os.mkfifo(tmp_path / "pipe.yaml")
    with (tmp_path / "long.yaml").open("wb") as file:
        file.truncate(1 << 30)
    (tmp_path / "quilts.csv").write_text("Name,Size\nStar,40 x 50\n")
    for name, told in (("pipe.yaml", "not an ordinary file"), ("long.yaml", "longer than 1,000,000 bytes")):
        for words in (
            ("promise", folder, tmp_path / name),
            ("take-in", folder, tmp_path / "quilts.csv", "--columns", tmp_path / name),
        ):
            code, _, err = run(*words)
            err += capsys.readouterr().err
            assert code in (1, 2) and name in err and told in err


def test_a_plan_of_nothing_records_nothing_and_says_so(run, folder, tmp_path):
    (tmp_path / "plan.yaml").write_text("")
    code, _, err = run("promise", folder, tmp_path / "plan.yaml", "--yes")
    assert code == 0 and "nothing was changed" in err and not (folder / ".counterpane").exists()


def test_the_plan_for_programs_has_the_shape_of_the_contract(run, folder):
    code, printed, _ = run("match", folder, "--on", "2026-04-01", "--json")
    plan = json.loads(printed)
    assert code == 0
    assert set(plan) == {
        "assigned", "open", "left_over", "make_next", "cannot_be_made", "undecided", "day_passed", "mind",
    }  # fmt: skip
    assert set(plan["assigned"][0]) == {"quilt", "request", "line", "fit", "check_first"}
    assert plan["assigned"][0]["quilt"] == "low-tide"
    assert set(plan["left_over"][0]) == {"quilt", "nearest"}


def test_what_to_check_first_is_one_sentence_in_the_words_of_the_pages(run, folder):
    request = folder / "requests/cots.yaml"
    request.write_text(
        request.read_text().replace("priority: must", "no: [beads, buttons], needs: [label], suits: [elders]")
    )
    (folder / "quilts/low-tide.yaml").write_text("title: Low Tide\nfinished_size: 40 x 45\ndestination: free\n")
    _, printed, _ = run("match", folder, "--on", "2026-05-16")
    (line,) = [line for line in printed.splitlines() if "check first" in line]
    reading = read_collection(folder)
    (assigned,) = match(reading.collection, on=date(2026, 5, 16)).assigned
    assert line == f"    check first: {checks_in_short(assigned.checks)}"
    assert "they refuse beads or buttons" in line
    for check in assigned.checks:
        assert f"{check.field}:" not in line


def test_a_day_that_has_passed_is_told_in_the_plan_in_its_file_for_programs_and_at_promise(run, folder, tmp_path):
    request = folder / "requests/cots.yaml"
    request.write_text(request.read_text().replace("through: nell\n", "through: nell\nneeded_by: 2026-05-15\n"))
    plan = tmp_path / "plan.yaml"
    told = "cots was needed by 15 May 2026, which has passed"
    _, printed, _ = run("match", folder, "--on", "2026-05-15", "--save", plan)
    assert "passed" not in printed and "passed" not in plan.read_text()
    _, printed, _ = run("match", folder, "--on", "2026-05-16", "--save", plan)
    assert told in printed and told in plan.read_text()
    assert "    check first: they needed it by 15 May 2026, which has passed" in printed
    result = json.loads(run("match", folder, "--on", "2026-05-16", "--json")[1])
    assert result["day_passed"] == [{"request": "cots", "needed_by": "2026-05-15", "certain": True}]
    assert result["assigned"][0]["check_first"] == ["needed_by"]
    code, _, err = run("promise", folder, plan, "--on", "2026-05-20")
    assert code == 0 and told in err and "is: promised" in record(folder)


def test_a_promise_in_time_says_nothing_of_the_day(run, folder, tmp_path):
    request = folder / "requests/cots.yaml"
    request.write_text(request.read_text().replace("through: nell\n", "through: nell\nneeded_by: 2026-05-15\n"))
    plan = tmp_path / "plan.yaml"
    run("match", folder, "--on", "2026-04-01", "--save", plan)
    code, _, err = run("promise", folder, plan, "--on", "2026-05-15")
    assert code == 0 and "passed" not in err and "is: promised" in record(folder)


def test_a_match_tells_how_many_quilts_are_undecided_and_how_to_let_them_go(run, folder, tmp_path):
    for name in ("one", "two", "three"):
        (folder / f"quilts/{name}.yaml").write_text(f"title: {name}\nfinished_size: 40 x 50\n")
    (folder / "quilts/low-tide.yaml").write_text("title: Low Tide\ndestination: kept\n")
    _, printed, _ = run("match", folder, "--on", "2026-04-01", "--save", tmp_path / "plan.yaml")
    told = "3 quilts are undecided, and so not in this plan; 3 of them would fit a place that stays open."
    assert told in printed and told in (tmp_path / "plan.yaml").read_text()
    assert "one (one): would fit cots, line small" in printed and "counterpane set-free" in printed
    assert run("set-free", folder, "one", "--on", "2026-04-01")[0] == 0
    assert "2 quilts are undecided" in run("match", folder, "--on", "2026-04-01")[1]


def test_records_with_errors_are_told_and_nothing_is_moved(run, folder):
    (folder / "quilts/broken.yaml").write_text("title: Broken\nmade: sometime\n")
    before = record(folder)
    code, _, told = run("hand-over", folder, "low-tide", "--through", "nell")
    assert code == 1 and "quilts/broken.yaml:2: made" in told
    assert record(folder) == before
