"""A quilt as linked data."""

import json

import pytest

from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.records.settings import Settings
from collection.values.dates import EdtfDate
from site_builder.pages.edition import Edition
from site_builder.pages.structured_data import artwork, as_script


def _edition(tmp_path, **settings) -> Edition:
    return Edition("catalogue", Collection(tmp_path, Settings.model_validate(settings)))


def _quilt(**fields) -> Quilt:
    return Quilt.model_validate({"id": "low-tide", "title": "Low Tide", **fields})


def test_a_quilt_of_a_title_alone_says_only_what_it_is(tmp_path):
    assert artwork(_edition(tmp_path), _quilt(), base=None) == {
        "@context": "https://schema.org",
        "@type": "VisualArtwork",
        "name": "Low Tide",
        "artform": "Quilt",
    }


def test_length_is_the_height_of_a_work_in_the_collections_own_unit(tmp_path):
    data = artwork(_edition(tmp_path), _quilt(finished_size="60 1/2 x 72 in"), base=None)
    assert data["width"] == {"@type": "QuantitativeValue", "value": 60.5, "unitCode": "INH"}
    assert data["height"]["value"] == 72
    in_cm = artwork(_edition(tmp_path, units="cm"), _quilt(finished_size="153.5 x 183 cm"), base=None)
    assert in_cm["width"] == {"@type": "QuantitativeValue", "value": 153.5, "unitCode": "CMT"}


def test_of_an_approximate_size_the_bounds_go_out(tmp_path):
    data = artwork(_edition(tmp_path), _quilt(finished_size="about 60 x 80"), base=None)
    assert data["width"] == {"@type": "QuantitativeValue", "minValue": 57.0, "maxValue": 63.0, "unitCode": "INH"}
    data = artwork(_edition(tmp_path), _quilt(finished_size="60-62 x 80"), base=None)
    assert (data["width"]["minValue"], data["width"]["maxValue"], data["height"]["value"]) == (60, 62, 80)


@pytest.mark.parametrize("made", ["2016", "2016-05", "2016-05-12"])
def test_a_plain_date_goes_out_as_it_is(tmp_path, made):
    assert artwork(_edition(tmp_path), _quilt(made=made), base=None)["dateCreated"] == made


@pytest.mark.parametrize("made", ["2016~", "201X", "2015/2017", "2016-21", "2016-XX", "../1994"])
def test_a_date_that_schema_org_cannot_say_goes_out_in_words(tmp_path, made):
    data = artwork(_edition(tmp_path), _quilt(made=made), base=None)
    assert "dateCreated" not in data
    assert data["temporalCoverage"] == EdtfDate.parse(made).say()


def test_addresses_are_whole_and_only_there_when_the_site_has_one(tmp_path):
    data = artwork(_edition(tmp_path), _quilt(), base="https://quilts.example/")
    assert data["url"] == "https://quilts.example/quilts/low-tide.html"


def test_no_word_can_end_the_script_that_holds_it(tmp_path):
    quilt = _quilt(title="</script><script>alert(1)</script> & <!--")
    script = as_script(artwork(_edition(tmp_path), quilt, base=None))
    assert "<" not in script and "&" not in script
    assert json.loads(script)["name"] == quilt.title
