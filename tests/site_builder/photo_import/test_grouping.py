"""Which pictures are proposed as one quilt, and where a doubt is told instead."""

from hypothesis import given
from hypothesis import strategies as st

from site_builder.photo_import.grouping import MOST_OF_ONE_QUILT, group
from tests.site_builder.photo_import.photos import BLUE, RED, seen


def together(*pictures, source=""):
    """The names of the pictures of each group, and the titles."""
    grouping = group(pictures, source)
    return [tuple(picture.file.name for picture in each.pictures) for each in grouping.groups], grouping


def titles(*pictures, source=""):
    return [each.title for each in group(pictures, source).groups]


# By folder


def test_a_folder_called_after_a_quilt_is_one_quilt_with_its_details():
    groups, grouping = together(
        seen("Low Tide/IMG_2.jpg"), seen("Low Tide/IMG_1.jpg"), seen("Low Tide/details/IMG_9.jpg")
    )
    assert groups == [("Low Tide/IMG_1.jpg", "Low Tide/IMG_2.jpg", "Low Tide/details/IMG_9.jpg")]
    assert grouping.groups[0].title == "Low Tide" and grouping.groups[0].pictures[2].shows == "detail"
    assert "folder Low Tide" in grouping.groups[0].because and not grouping.doubts


def test_a_cameras_folder_is_many_quilts():
    groups, _ = together(seen("DCIM/100APPLE/IMG_1.jpg"), seen("DCIM/100APPLE/IMG_2.jpg"))
    assert len(groups) == 2


def test_a_folder_whose_pictures_have_names_of_their_own_is_a_box_and_told_as_a_doubt():
    groups, grouping = together(
        seen("For Nell/bramble.jpg"), seen("For Nell/lantern walk.jpg"), seen("For Nell/IMG_1.jpg")
    )
    assert len(groups) == 3
    assert [len(doubt.groups) for doubt in grouping.doubts] == [3]


def test_a_folder_that_is_called_a_quilt_is_one_whatever_lies_in_it():
    groups, grouping = together(*(seen(f"Low Tide quilt/{word}.jpg") for word in ("washing day", "my sister", "IMG_7")))
    assert len(groups) == 1 and not grouping.doubts


def test_a_folder_with_more_pictures_than_a_quilt_has_is_a_box_and_told_as_a_doubt():
    pictures = [seen(f"For Nell/IMG_{n:04}.jpg") for n in range(MOST_OF_ONE_QUILT + 1)]
    groups, grouping = together(*pictures)
    assert len(groups) == len(pictures) and "more than one quilt" in grouping.doubts[0].why


def test_a_folder_with_quilts_in_it_is_a_box():
    groups, _ = together(seen("Sent off/IMG_1.jpg"), seen("Sent off/IMG_2.jpg"), seen("Sent off/Bramble/IMG_3.jpg"))
    assert len(groups) == 3


def test_the_source_is_one_quilt_only_where_all_is_called_by_what_it_shows():
    assert titles(seen("front.jpg"), seen("back.jpg"), seen("label 2.jpg"), source="Low Tide") == ["Low Tide"]
    assert titles(seen("front.jpg"), seen("IMG_1.jpg"), source="Low Tide") == ["", ""]


# By name


def test_pictures_of_one_name_are_one_quilt_with_the_front_first_and_the_label_last():
    groups, grouping = together(
        seen("low-tide-label.jpg"),
        seen("low-tide 2.jpg"),
        seen("low-tide-front.jpg"),
        seen("low tide 1.jpg"),
        seen("bramble.jpg"),
    )
    assert groups == [
        ("bramble.jpg",),
        ("low-tide-front.jpg", "low tide 1.jpg", "low-tide 2.jpg", "low-tide-label.jpg"),
    ]
    assert grouping.groups[1].because == "called Low Tide"


def test_a_picture_on_the_bed_joins_the_quilt_of_that_name_only_where_there_is_one():
    assert titles(seen("low-tide.jpg"), seen("low-tide-on-the-bed.jpg")) == ["Low Tide"]
    assert titles(seen("flower-bed.jpg")) == ["Flower Bed"]


def test_baby_quilts_are_not_one_quilt_and_are_told_as_a_doubt():
    groups, grouping = together(seen("baby quilt 1.jpg"), seen("baby quilt 2.jpg"))
    assert len(groups) == 2 and [each.title for each in grouping.groups] == ["Baby Quilt 1", "Baby Quilt 2"]
    assert "all called" in grouping.doubts[0].why


def test_the_same_name_in_two_years_is_two_quilts():
    assert len(together(seen("Sampler 1995.jpg"), seen("Sampler 1998.jpg"))[0]) == 2


def test_one_name_in_several_folders_is_told_as_a_doubt():
    groups, grouping = together(
        seen("Bramble/IMG_1.jpg"), seen("bramble back.jpg"), seen("2019/bramble.jpg"), seen("heron.jpg")
    )
    assert len(groups) == 4
    assert [(len(doubt.groups), doubt.why) for doubt in grouping.doubts] == [
        (3, "They lie in several folders, and are called Bramble.")
    ]


# Versions


def test_versions_of_one_picture_are_one_quilt():
    groups, _ = together(seen("IMG_2034 (2).jpg"), seen("IMG_2034.jpg"), seen("IMG_E2034.jpg"), seen("IMG_2035.jpg"))
    assert sorted(map(len, groups)) == [1, 3]


def test_two_cameras_that_count_alike_are_told_as_a_doubt():
    groups, grouping = together(
        seen("IMG_2034.jpg", taken="2016-05-12T10:00:00"), seen("IMG_2034 (2).jpg", taken="2019-08-01T12:00:00")
    )
    assert len(groups) == 2 and "at other times" in grouping.doubts[0].why


# By moment


def at(second, name=None, **more):
    return seen(name or f"IMG_{second:04}.jpg", taken=f"2016-05-12T10:{second // 60:02}:{second % 60:02}", **more)


def test_a_few_pictures_taken_in_one_go_and_alike_in_colour_are_one_quilt():
    groups, grouping = together(at(0), at(20), at(70), at(600))
    assert sorted(map(len, groups)) == [1, 3] and not grouping.doubts
    assert "within 1 min 10 s" in grouping.groups[0].because


def test_pictures_taken_in_one_go_whose_colours_differ_are_told_as_a_doubt():
    groups, grouping = together(at(0, colours=BLUE), at(20, colours=RED))
    assert len(groups) == 2 and "colours differ" in grouping.doubts[0].why


def test_a_back_may_have_other_colours():
    assert len(together(at(0), at(20, "DSC_0002_back.jpg", colours=RED))[0]) == 1


def test_a_session_of_quilt_after_quilt_is_not_one_quilt():
    pictures = [at(40 * n) for n in range(6)]
    groups, grouping = together(*pictures)
    assert len(groups) == len(pictures) and "quilt after quilt" in grouping.doubts[0].why


def test_pictures_with_a_longer_pause_or_by_two_cameras_are_told_as_a_doubt():
    assert "more than one minute" in group([at(0), at(100)]).doubts[0].why
    assert "different cameras" in group([at(0), at(10, camera="Other")]).doubts[0].why


def test_pictures_without_a_time_are_each_by_themselves():
    assert len(together(seen("IMG_1.jpg"), seen("IMG_2.jpg"))[0]) == 2


NAMES = st.sampled_from(
    [
        "IMG_1",
        "IMG_1 (2)",
        "IMG_2",
        "low tide 1",
        "low-tide-back",
        "baby quilt 1",
        "front",
        "back",
        "on the bed",
        "bramble",
    ]
)
FOLDERS = st.sampled_from(["", "Low Tide/", "For Nell/", "DCIM/", "Low Tide/details/", "Low Tide quilt/"])
TIMES = st.sampled_from(
    [None, "2016-05-12T10:00:00", "2016-05-12T10:00:30", "2016-05-12T10:02:00", "2019-01-01T00:00:00"]
)


@given(st.dictionaries(st.tuples(FOLDERS, NAMES), TIMES, max_size=14), st.randoms())
def test_each_picture_is_in_one_group_whatever_the_order_in_which_they_come(found, chance):
    pictures = [seen(f"{folder}{name}.jpg", taken=taken, seed=1) for (folder, name), taken in found.items()]
    grouping = group(pictures)
    names = [picture.file.name for each in grouping.groups for picture in each.pictures]
    assert sorted(names) == sorted(picture.file.name for picture in pictures)
    chance.shuffle(pictures)
    again = group(pictures)
    assert [each.pictures for each in again.groups] == [each.pictures for each in grouping.groups]
    assert all(len(doubt.groups) > 1 and doubt.why for doubt in grouping.doubts)
