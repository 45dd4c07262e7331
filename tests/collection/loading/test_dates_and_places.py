"""Dates that come in order, and a quilt that is in one place at a time."""

import pytest

from tests.support.patience import soon

# Dates out of order -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "field", "remedy"),
    [
        (
            "destination: {is: donated, to: hill, handed_over: 2026-05-12, delivered: 2026-05-11}",
            "destination.delivered",
            "(12 May 2026)",
        ),
        (
            "destination: {is: donated, to: hill, delivered: 2026, acknowledged: 2025}",
            "destination.acknowledged",
            "before it was delivered (2026)",
        ),
        (
            "destination: {is: donated, to: hill, handed_over: 2026, delivered: ../2030, acknowledged: 2025}",
            "destination.acknowledged",
            "handed over",
        ),
        (
            "destination: {is: donated, to: hill, delivered: about 2026, acknowledged: 2020}",
            "destination.acknowledged",
            "(about 2026)",
        ),
        ("destination: {is: promised, on: 2026-05, by: 2026-04}", "destination.by", "it was promised (May 2026)"),
        ("history:\n  - {is: gifted, on: 2010s, returned: 2005}", "history.1.returned", "it was given (the 2010s)"),
        ("loans: {to: Hall, from: 2025-03, due: 2025-02}", "loans.1.due", "the loan began (March 2025)"),
        ("loans: {to: Hall, from: 2025-03, back: 2024}", "loans.1.back", "the loan began"),
        ("made: 2016\ndestination: {is: gifted, on: 2006}", "destination.on", "before the quilt was made (2016)"),
        (
            "made: 1990s\ndestination: {is: donated, to: hill, handed_over: 1985, delivered: 1986}",
            "destination.handed_over",
            "made (the 1990s)",
        ),
    ],
)
def test_a_step_before_one_that_it_follows_is_told_once_at_the_later_one(text, field, remedy, of_quilt):
    (problem,) = of_quilt(text)
    assert problem.field == field
    assert remedy in problem.remedy


@pytest.mark.parametrize(
    ("text", "field", "remedy"),
    [
        (
            "history:\n  - {is: gifted, on: 2025, returned: 2026-05-01}\ndestination: {is: gifted, on: 2026-04}",
            "destination.on",
            "it was back only after that (1 May 2026)",
        ),
        (
            "history:\n  - {is: free, until: 2024}\n  - {is: donated, to: hill, delivered: 2023}\ndestination: free",
            "history.2.delivered",
            "it was no longer free only after that (2024)",
        ),
    ],
)
def test_a_gift_before_the_end_of_what_the_history_has_before_it_is_a_slip(text, field, remedy, of_quilt):
    (problem,) = of_quilt(text)
    assert (problem.field, problem.severity) == (field, "warning")
    assert remedy in problem.remedy


@pytest.mark.parametrize(
    "text",
    [
        "history:\n  - {is: gifted, on: 2025, returned: 2026-05-01}\ndestination: {is: gifted, on: 2026-05}",
        "history:\n  - {is: gifted, on: 2025, returned: about 2026}\ndestination: {is: gifted, on: 2025-12}",
        "history:\n  - {is: lost, on: 2026-05-01}\ndestination: {is: donated, to: hill, delivered: 2026-04}",
        "history:\n  - {is: gifted, on: 2025, returned: 2026-05-01}\ndestination: {is: promised, to: hill, on: 2026-04}",
    ],
)
def test_a_history_that_may_be_in_order_is_left_alone(text, of_quilt):
    assert of_quilt(text) == ()


def test_the_dates_of_a_request_are_in_order(problems):
    told = problems(
        {
            "requests/a.yaml": "partner: hill\nasked: 2026-05\nneeded_by: 2026-04\nclosed: 2025\nlines: {id: a, count: 1}\n"
        }
    )
    assert [(problem.line, problem.field) for problem in told] == [(3, "needed_by"), (4, "closed")]


@pytest.mark.parametrize(
    "text",
    [
        "destination: {is: donated, to: hill, handed_over: 2026-05-12, delivered: 2026-05-12}",
        "destination: {is: donated, to: hill, handed_over: 2026-05-12, delivered: 2026}",
        "destination: {is: donated, to: hill, handed_over: 2026-05-12, delivered: about 2025}",
        "destination: {is: donated, to: hill, handed_over: 2026?, delivered: 2025}",
        "destination: {is: donated, to: hill, handed_over: 1990s, delivered: 1992}",
        "destination: {is: donated, to: hill, handed_over: about 1990s, delivered: 1985}",
        "destination: {is: donated, to: hill, handed_over: after 2020, delivered: before 2024}",
        "made: 2016\ndestination: {is: gifted, on: 2016}",
        "made: about 2016\ndestination: {is: gifted, on: 2015}",
        "made: 2010/2016\ndestination: {is: gifted, on: 2012}",
        "made: 2016\ndestination: {is: promised, on: 2015}",
        "loans: {to: Hall, from: 2025, due: 2025-03}",
    ],
)
def test_dates_that_may_be_in_order_are_left_alone(text, of_quilt):
    assert of_quilt(text) == ()


@pytest.mark.parametrize(
    ("lacks", "field", "remedy"),
    [
        ("to: hill, acknowledged: 2026", "acknowledged", "Write under delivered when"),
        ("delivered: 2026", "delivered", "write under to which charity has it"),
    ],
)
def test_a_donation_says_what_its_later_steps_need(lacks, field, remedy, of_quilt):
    (problem,) = of_quilt(f"destination: {{is: donated, {lacks}}}")
    assert problem.field == f"destination.{field}"
    assert remedy in problem.remedy


# Two places at once -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("destination", "words"),
    [
        ("{is: gifted, to: A cousin}", "given away"),
        ("{is: donated, to: hill, handed_over: 2026}", "on its way to a charity, or there"),
        ("{is: donated, through: nell, handed_over: 2026}", "on its way to a charity, or there"),
        ("{is: lost}", "lost"),
    ],
)
def test_a_quilt_on_loan_is_nowhere_else(destination, words, of_quilt):
    (problem,) = of_quilt(f"destination: {destination}\nloans:\n  - {{to: Hall, from: 2026}}")
    assert (problem.line, problem.field, problem.found) == (4, "loans.1", "Hall")
    assert f"out on this loan and {words}" in problem.remedy


@pytest.mark.parametrize("destination", ["kept", "free", "{is: promised, to: hill}", "{is: donated, through: nell}"])
def test_a_quilt_that_has_not_left_may_be_on_loan(destination, of_quilt):
    assert of_quilt(f"destination: {destination}\nloans: {{to: Hall, from: 2026}}") == ()


def test_a_loan_that_came_back_is_no_place(of_quilt):
    assert of_quilt("destination: gifted\nloans: {to: Hall, from: 2024, back: 2025}") == ()


def test_two_loans_at_once_are_told_at_the_one_that_came_first(of_quilt):
    (problem,) = of_quilt("loans:\n  - {to: Hall, from: 2024}\n  - {to: Library, from: 2026}")
    assert (problem.line, problem.field) == (3, "loans.1")


def test_thousands_of_loans_are_looked_at_as_soon_as_others(of_quilt):
    apart = [f"{{to: Hall {n}, from: {1000 + n}-03-01, back: {1000 + n}-06-01}}" for n in range(1500)]
    at_once = [f"{{to: Library {n}, from: 2600-03-01, back: 2600-06-01}}" for n in range(1500)]
    with soon():
        told = of_quilt("loans:\n" + "".join(f"  - {loan}\n" for loan in apart + at_once))
    assert [problem.line for problem in told] == [number + 2 for number in range(1502, 3001)]


def test_two_loans_that_overlapped_are_told_at_the_later_one(of_quilt):
    (problem,) = of_quilt(
        "loans:\n  - {to: Hall, from: 2024-03-01, back: 2024-06-01}\n  - {to: Library, from: 2024-05-01, back: 2024-08-01}",
    )
    assert (problem.line, problem.field) == (4, "loans.2")
    assert "can't be in two places" in problem.remedy


@pytest.mark.parametrize(
    "second",
    [
        "from: 2024-06-01, back: 2024-08-01",
        "from: 2024, back: 2024",
        "from: about May 2024, back: 2024-08",
        "back: 2024-05",
    ],
)
def test_loans_that_may_have_followed_each_other_are_left_alone(second, of_quilt):
    text = f"loans:\n  - {{to: Hall, from: 2024-03-01, back: 2024-06-01}}\n  - {{to: Library, {second}}}"
    assert of_quilt(text) == ()
