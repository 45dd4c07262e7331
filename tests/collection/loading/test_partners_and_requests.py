"""Partners and requests that other records name: there, of the right kind, and not promised beyond what is asked for."""

import pytest

# Partners ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("destination", "field", "remedy"),
    [
        ("{is: promised, to: rivers-street}", "to", "Did you mean river-street?"),
        ("{is: donated, to: hill hospice}", "to", "Did you mean hill?"),
        ("{is: donated, to: zoo}", "to", "Begin a file for it in partners/"),
        ("{is: donated, to: hill, meant_for: zoo}", "meant_for", "There is no partner “zoo”"),
        ("{is: lost, through: nel}", "through", "Did you mean nell?"),
        (
            "{is: promised, to: nell}",
            "to",
            "Nell is a go-between, and a charity is needed here. Write it under through.",
        ),
        (
            "{is: donated, through: hill}",
            "through",
            "Hill Hospice is a charity, and a go-between is needed here. Write it under to.",
        ),
        ("{is: donated, to: hill, meant_for: nell}", "meant_for", "a charity is needed here."),
    ],
)
def test_a_partner_that_is_not_there_or_of_the_other_kind_is_told(destination, field, remedy, of_quilt):
    (problem,) = of_quilt(f"destination: {destination}")
    assert (problem.line, problem.field) == (2, f"destination.{field}")
    assert remedy in problem.remedy


def test_partners_of_former_destinations_are_looked_up_too(of_quilt):
    (problem,) = of_quilt("history:\n  - kept\n  - is: donated\n    to: hil")
    assert (problem.line, problem.field) == (5, "history.2.to")


def test_a_gift_may_go_to_anybody(of_quilt):
    assert of_quilt("destination: {is: gifted, to: nell}") == ()


def test_a_partner_whose_own_file_has_a_slip_is_told_there_alone(problems):
    told = problems({"partners/hill.yaml": "nam: Hill\n", "quilts/a.yaml": "destination: {is: donated, to: hill}"})
    assert {problem.file for problem in told} == {"partners/hill.yaml"}


def test_the_kind_of_a_partner_counts_even_where_another_field_of_it_has_a_slip(problems):
    told = problems(
        {
            "partners/nell.yaml": "name: Nell\nkind: go-between\nchecked: soon\n",
            "quilts/a.yaml": "destination: {is: donated, to: nell}",
        }
    )
    assert [(problem.file, problem.field) for problem in told] == [
        ("partners/nell.yaml", "checked"),
        ("quilts/a.yaml", "destination.to"),
    ]


@pytest.mark.parametrize(
    ("name", "text", "line", "field", "remedy"),
    [
        ("partners/a.yaml", "name: A\npart_of: nell\n", 2, "part_of", "a charity is needed"),
        ("partners/a.yaml", "name: A\npart_of: a\n", 2, "part_of", "a part of itself"),
        ("partners/river-street.yaml", "name: River Street\npart_of: cots\n", 2, "part_of", "a part of itself"),
        (
            "partners/a.yaml",
            "name: A\nkind: go-between\nacts_for:\n  - hill\n  - hil\n",
            5,
            "acts_for.2",
            "Did you mean hill?",
        ),
        ("partners/a.yaml", "name: A\nacts_for: hill\n", 2, "acts_for", "Write kind: go-between"),
        ("requests/a.yaml", "partner: nell\nlines: {id: a, count: 1}\n", 1, "partner", "Write it under through."),
        (
            "requests/a.yaml",
            "partner: hill\nthrough: cots\nlines: {id: a, count: 1}\n",
            2,
            "through",
            "Write it under partner.",
        ),
    ],
)
def test_partners_of_partners_and_of_requests_are_looked_up(name, text, line, field, remedy, problems):
    problem = next(problem for problem in problems({name: text}) if problem.file == name)
    assert (problem.line, problem.field) == (line, field)
    assert remedy in problem.remedy


def test_a_ring_of_charities_is_told_in_each_of_their_files(problems):
    ring = {f"partners/{one}.yaml": f"name: {one.upper()}\npart_of: {other}\n" for one, other in ("ab", "bc", "ca")}
    told = problems(ring | {"partners/d.yaml": "name: D\npart_of: a\n"})
    assert [(problem.file, problem.line, problem.field) for problem in told] == [
        (f"partners/{one}.yaml", 2, "part_of") for one in "abc"
    ]
    assert "A would be a part of itself, by way of B and C." in told[0].remedy


def test_a_partner_by_itself_does_not_make_a_ring_of_two(problems):
    (told,) = problems({"partners/a.yaml": "name: A\npart_of: a\n"})
    assert told.remedy.startswith("A charity can't be a part of itself.")


def test_a_go_between_does_not_act_for_itself_nor_for_one_charity_twice(problems):
    told = problems({"partners/a.yaml": "name: A\nkind: go-between\nacts_for: [a, hill, hill]\n"})
    assert [(problem.field, problem.line, problem.remedy.split(".")[0]) for problem in told] == [
        ("acts_for.1", 3, "A partner doesn't act for itself"),
        ("acts_for.3", 3, "This charity stands twice in this list"),
    ]


def test_what_went_where_it_was_meant_to_go_went_nowhere_else(of_quilt):
    (told,) = of_quilt("destination: {is: donated, to: hill, meant_for: hill}")
    assert (told.line, told.field) == (2, "destination.meant_for")
    assert "went to the charity that it was meant for" in told.remedy


# Requests ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("destination", "field", "remedy"),
    [
        ("{is: promised, request: sprung}", "request", "Did you mean spring?"),
        ("{is: donated, request: 2019-winter}", "request", "Begin a file for it in requests/"),
        (
            "{is: promised, request: spring, line: lap}",
            "line",
            "spring has no line “lap”. Did you mean laps? Write one of: cots, laps.",
        ),
        ("{is: promised, line: laps}", "line", "Write under request which one"),
        (
            "{is: promised, to: hill, request: spring}",
            "request",
            "spring is a request of River Street Cots, and this quilt goes to Hill Hospice",
        ),
        ("{is: donated, to: hill, request: spring}", "request", "write meant_for: cots"),
    ],
)
def test_a_request_or_line_that_does_not_fit_is_told(destination, field, remedy, of_quilt):
    (problem,) = of_quilt(f"destination: {destination}")
    assert (problem.line, problem.field) == (2, f"destination.{field}")
    assert remedy in problem.remedy


@pytest.mark.parametrize(
    "destination",
    [
        "{is: promised, to: cots, request: spring, line: laps}",
        "{is: promised, to: river-street, request: spring}",
        "{is: promised, request: spring}",
        "{is: donated, to: hill, meant_for: cots, request: spring}",
        "{is: donated, to: hill, meant_for: river-street, request: spring}",
    ],
)
def test_a_request_is_answered_by_its_charity_the_whole_of_it_or_another_instead(destination, of_quilt):
    assert of_quilt(f"destination: {destination}") == ()


def test_a_request_whose_own_file_has_a_slip_is_told_there_alone(problems):
    told = problems(
        {
            "requests/spring.yaml": "partner: cots\nlines: {id: cots, count: some}\n",
            "quilts/a.yaml": "destination: {is: promised, request: spring, line: cots}",
        }
    )
    assert [problem.file for problem in told] == ["requests/spring.yaml"]


def test_a_size_that_no_quilt_has_is_told_at_a_request_and_a_partner(problems):
    told = problems(
        {
            "partners/hill.yaml": "name: Hill\nrules: {size: [lap, babby]}\n",
            "requests/a.yaml": "partner: hill\nlines: {id: a, count: 1, size: giant}\n",
        }
    )
    assert [(p.file, p.line, p.field, p.severity) for p in told] == [
        ("partners/hill.yaml", 2, "rules.size.2", "warning"),
        ("requests/a.yaml", 2, "lines.1.size.1", "warning"),
    ]
    assert "Did you mean baby?" in told[0].remedy


def test_a_size_of_the_makers_own_is_known(problems):
    own = "sizes: {categories: {name: Cushion, shorter_side: 14 to 20, longer_side: 14 to 20}}\n"
    assert problems({"collection.yaml": own, "partners/hill.yaml": "name: Hill\nrules: {size: cushion}\n"}) == ()


# Promises beyond places -------------------------------------------------------------------------

PROMISED = "destination: {is: promised, to: cots, request: spring, line: cots}"
GIVEN = "destination: {is: donated, to: cots, request: spring, line: cots}"


def test_promises_beyond_what_a_line_asks_for_are_told_as_warnings(problems):
    told = problems({f"quilts/{name}.yaml": PROMISED for name in "abcd"})
    assert [(p.file, p.field, p.severity) for p in told] == [
        ("quilts/c.yaml", "destination.line", "warning"),
        ("quilts/d.yaml", "destination.line", "warning"),
    ]
    assert "asks for 2, and with this quilt 4 are promised or given" in told[1].remedy


def test_what_was_given_takes_its_place_before_what_is_promised(problems):
    told = problems({"quilts/a.yaml": PROMISED, "quilts/b.yaml": GIVEN, "quilts/c.yaml": GIVEN})
    assert [problem.file for problem in told] == ["quilts/a.yaml"]


def test_giving_more_than_was_asked_for_is_no_slip(problems):
    assert problems({f"quilts/{name}.yaml": GIVEN for name in "abc"}) == ()
