"""Short forms and bare numbers are read as they are meant."""

import pytest

from collection.loading.loader import read_collection


@pytest.mark.parametrize(
    ("short", "long"),
    [
        ("photos: a.jpg", "photos:\n  - file: a.jpg"),
        ("photos: {file: a.jpg}", "photos:\n  - a.jpg"),
        ("pattern: Low Tide", "pattern: {name: Low Tide}"),
        ("fabric_lines: Hay", "fabric_lines:\n  - {name: Hay}"),
        ("quilting: Longarm", "quilting: {how: longarm}"),
        ("materials_cost: 84.50", "materials_cost: {amount: 84.50}"),
        ("appraisal: 900", "appraisal: {value: 900}"),
        ("loans: {to: Hall}", "loans:\n  - to: Hall"),
        ("colours: Green, grey", "colours: [green, grey]"),
        ("also_called: Home, Sweet Home", 'also_called: ["Home, Sweet Home"]'),
        ("setting: {blocks: 4X5, block: 12, borders: 5}", "setting: {blocks: 4 x 5, block: 12, borders: [5]}"),
        ("care: {washed: yes, label: no}", "care: {washed: true, label: false}"),
        ("destination: Free", "destination: {is: free}"),
        ("destination: {is: Gifted}", "destination: gifted"),
        ("stage: Binding", "stage: binding"),
        ("made:\nphotos:\nstage:\ncare: {label: }", "care: {}"),
        ("photos:\n  -\n  - a.jpg", "photos: [a.jpg]"),
    ],
)
def test_a_short_form_means_the_same_as_the_long_one(short, long, tmp_path, write_collection):
    write_collection(tmp_path, {"quilts/low-tide.yaml": f"title: x\n{short}\n", "photos/a.jpg": ""})
    as_short = read_collection(tmp_path)
    write_collection(tmp_path, {"quilts/low-tide.yaml": f"title: x\n{long}\n"})
    as_long = read_collection(tmp_path)
    assert as_short.problems == as_long.problems == ()
    assert as_short.collection.quilts == as_long.collection.quilts


def test_bare_numbers_are_in_the_units_of_the_file_its_partner_or_the_collection(tmp_path, write_collection):
    line = "lines:\n  - {id: a, count: 1, width: 90 to 100}\n"
    write_collection(
        tmp_path,
        {
            "collection.yaml": "units: IN\n",
            "partners/north.yaml": "name: North\nunits: cm\nrules: {width: 90 to 100}\n",
            "partners/south.yaml": "name: South\nrules: {width: 90 to 100}\n",
            "requests/own.yaml": f"partner: north\nunits: in\n{line}",
            "requests/north.yaml": f"partner: north\n{line}",
            "requests/south.yaml": f"partner: south\n{line}",
        },
    )
    read = read_collection(tmp_path)
    assert read.problems == ()
    widths = {name: str(request.lines[0].width) for name, request in read.collection.requests.items()}
    assert widths == {"own": "90 to 100 in", "north": "90 to 100 cm", "south": "90 to 100 in"}
    assert str(read.collection.partners["north"].rules.width) == "90 to 100 cm"


def test_settings_with_one_slip_still_count_for_the_rest(tmp_path, write_collection):
    write_collection(
        tmp_path,
        {
            "collection.yaml": "units: cm\ncurrency: eur\ntaxes: none\n",
            "quilts/a.yaml": "title: A\nfinished_size: 150 x 180\nmaterials_cost: 12 €\n",
        },
    )
    read = read_collection(tmp_path)
    assert [problem.field for problem in read.errors] == ["taxes"]
    assert str(read.collection.quilts["a"].finished_size) == "150 x 180 cm"
