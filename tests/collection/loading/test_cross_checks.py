"""What only several records, or a record and the photos, show to be wrong."""

import pytest

from collection.loading.loader import read_collection
from tests.support.patience import soon


def test_the_sound_collection_is_sound(problems):
    assert problems({}) == ()


# Numbers ----------------------------------------------------------------------------------------


def test_a_number_that_two_quilts_share_is_told_at_all_but_the_first(problems):
    told = problems({f"quilts/{name}.yaml": "number: 7" for name in "abc"} | {"quilts/d.yaml": "number: 8"})
    assert [(problem.file, problem.line, problem.field) for problem in told] == [
        ("quilts/b.yaml", 2, "number"),
        ("quilts/c.yaml", 2, "number"),
    ]
    assert all("quilts/a.yaml" in problem.remedy for problem in told)


def test_a_number_is_compared_even_where_another_field_is_not_sound(problems):
    told = problems({"quilts/a.yaml": "number: 7\nmade: soon", "quilts/b.yaml": "number: 7"})
    assert [(problem.file, problem.field) for problem in told] == [
        ("quilts/a.yaml", "made"),
        ("quilts/b.yaml", "number"),
    ]


# Photos -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "there", "remedy"),
    [
        ("front.jpg", [], "There is no photos/front.jpg. Put the photo there, or take this line out."),
        ("low-tide/frnt.jpg", ["low-tide/front.jpg"], "Did you mean low-tide/front.jpg?"),
        ("Front.JPG", ["front.jpg"], "The file is called front.jpg, and a web server minds capitals. Write it so."),
        ("photos/front.jpg", ["front.jpg"], "Names begin below the folder photos/. Write front.jpg."),
        ("IMG_0392.jpg", ["IMG_0391.jpg", "IMG_0393.jpg"], "Put the photo there, or take this line out."),
        ("IMG_0391.jpg", ["IMG_0391.jpeg"], "Did you mean IMG_0391.jpeg?"),
        ("blåbär.jpg", ["bla\u030aba\u0308r.jpg"], "its accented letters are stored in another way"),
    ],
)
def test_a_photo_that_is_not_there_is_told_as_a_warning_with_what_is_near(written, there, remedy, problems, tmp_path):
    files = {f"photos/{name}": "" for name in there}
    problem = next(iter(problems(files | {"quilts/low-tide.yaml": f"photos:\n  - shows: front\n    file: {written}"})))
    if (tmp_path / "photos" / written).exists():
        pytest.skip("this file system takes both for one name")
    assert (problem.line, problem.field, problem.severity) == (4, "photos.1.file", "warning")
    assert remedy in problem.remedy


def test_a_photo_twice_in_one_quilt_is_told_and_in_two_quilts_is_not(problems):
    told = problems({"photos/a.jpg": "", "quilts/a.yaml": "photos: [a.jpg, a.jpg]", "quilts/b.yaml": "photos: a.jpg"})
    assert [(p.file, p.line, p.field, p.severity) for p in told] == [("quilts/a.yaml", 2, "photos.2.file", "error")]


def test_when_the_photos_are_yet_to_be_copied_thousands_are_told_quickly(tmp_path, write_collection):
    quilts = {
        f"quilts/q{n}.yaml": f"title: Q{n}\nphotos: [{', '.join(f'q{n}/picture-{m}.jpg' for m in range(20))}]\n"
        for n in range(100)
    }
    write_collection(tmp_path, quilts | {f"photos/other/photograph-{n}.jpg": "" for n in range(500)})
    with soon():
        assert len(read_collection(tmp_path).warnings) == 2000


def test_a_destination_that_has_ended_is_told_to_belong_in_the_history(tmp_path, write_collection):
    text = "title: Low Tide\ndestination: {is: gifted, on: 2019, returned: 2020}\n"
    problems = read_collection(write_collection(tmp_path, {"quilts/low-tide.yaml": text})).errors
    assert [(each.line, each.field) for each in problems] == [(2, "destination.returned")]
    assert "belongs in history" in problems[0].remedy


@pytest.mark.parametrize("other", ["title: Low Tide", "title: low  TIDE", "title: Ebb\nalso_called: [Low tide]"])
def test_a_title_that_another_quilt_has_is_told_beside_the_title(tmp_path, write_collection, other):
    files = {
        "quilts/a.yaml": "number: 1\ntitle: Low Tide\n",
        "quilts/b.yaml": f"{other}\n",
        "quilts/c.yaml": "title: Low Tides\n",
    }
    reading = read_collection(write_collection(tmp_path, files))
    assert reading.errors == ()
    told = {each.file: each for each in reading.warnings}
    assert told["quilts/a.yaml"].field == "title" and told["quilts/a.yaml"].line == 2
    assert "quilts/b.yaml" in told["quilts/a.yaml"].remedy and "called that too" in told["quilts/a.yaml"].remedy
    assert ("quilts/b.yaml" in told) == ("also_called" not in other) and "quilts/c.yaml" not in told


def test_so_is_a_name_that_another_charity_has(tmp_path, write_collection):
    files = {
        "partners/a.yaml": "name: River Street\n",
        "partners/b.yaml": "name: river street\n",
        "quilts/q.yaml": "title: Q\n",
    }
    reading = read_collection(write_collection(tmp_path, files))
    assert [(each.file, each.field, each.severity) for each in reading.warnings] == [
        ("partners/a.yaml", "name", "warning"),
        ("partners/b.yaml", "name", "warning"),
    ]
