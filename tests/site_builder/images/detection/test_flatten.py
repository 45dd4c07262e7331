"""A quilt that a photo shows whole is kept alone and flattened as well, and placed where it is shown."""

import random
from datetime import date

import pytest
from PIL import Image

from site_builder.building.build import build
from site_builder.images import decode
from site_builder.images.store import PictureStore
from tests.site_builder.images.detection.quilts_in_rooms import patched, quilt_photo
from tests.site_builder.images.drawn_photos import OWNER, SERIAL, XMP, encoded, exif, psnr


def test_a_quilt_that_is_seen_whole_is_kept_flattened_as_well(photo, tmp_path):
    seen = quilt_photo(2, turn=4, keystone=0, long=1200)
    path = photo("front.jpg", seen.picture, quality=92, exif=exif(6))
    upright = photo("upright.jpg", seen.picture, quality=92)
    store = PictureStore(tmp_path / "store")
    pictures = store.prepare([path, upright])
    flat, turned = pictures[upright].flat, pictures[path].flat
    assert max(flat.width, flat.height) == 480 and flat.file_name.endswith("-480.jpg")
    assert flat.width / flat.height == pytest.approx(seen.proportion, rel=0.02)
    assert turned.width / turned.height == pytest.approx(1 / seen.proportion, rel=0.02)
    assert flat in pictures[upright].files and flat not in pictures[upright].renditions
    assert PictureStore(tmp_path / "store").prepare([path, upright]) == pictures


def test_a_flattened_quilt_looks_like_the_cloth_that_was_hung(store, photo):
    cloth = patched(random.Random(5), (200, 200, 200))
    seen = quilt_photo(5, turn=-4, keystone=0.1, long=1200, cloth=cloth)
    path = photo("front.jpg", seen.picture, quality=92)
    flat = Image.open(store.file(store.prepare([path])[path].flat)).convert("RGB")
    blurred, hung = (picture.resize((24, 30), Image.Resampling.BOX) for picture in (flat, cloth))
    assert psnr(blurred, hung) > 22
    askew = Image.open(path).convert("RGB").resize((24, 30), Image.Resampling.BOX)
    assert psnr(askew, hung) < 16


def test_a_flattened_quilt_has_no_metadata(store, photo):
    path = photo("front.jpg", quilt_photo(2, long=900).picture, exif=exif(1), xmp=XMP, comment=OWNER)
    content = store.file(store.prepare([path])[path].flat).read_bytes()
    for secret in (OWNER.encode(), SERIAL.encode(), b"SECRET", b"Exif", b"xmpmeta"):
        assert secret not in content


def test_a_flattened_quilt_that_was_lost_is_made_again(photo, tmp_path, monkeypatch):
    path = photo("front.jpg", quilt_photo(2, long=900).picture)
    decodings, really_decode = [], decode.decode
    monkeypatch.setattr(decode, "decode", lambda *given, **more: decodings.append(1) or really_decode(*given, **more))
    store = PictureStore(tmp_path / "store")
    flat = store.prepare([path])[path].flat
    store.file(flat).unlink()
    again = PictureStore(tmp_path / "store")
    assert again.prepare([path])[path].flat == flat
    assert len(decodings) == 2 and again.file(flat).stat().st_size == flat.bytes


@pytest.mark.parametrize(
    "picture",
    [
        Image.new("RGB", (900, 700), "navy"),
        quilt_photo(2, long=200).picture,
        quilt_photo(2, long=900, fill=1.3).picture,
    ],
    ids=["plain", "small", "not whole"],
)
def test_where_no_whole_quilt_is_seen_nothing_is_flattened(store, photo, picture):
    path = photo("front.jpg", picture)
    found = store.prepare([path])[path]
    assert found.flat is None and found.files == found.renditions


def test_only_the_flattened_covers_that_are_shown_are_placed(tmp_path):
    folder, output = tmp_path / "collection", tmp_path / "output"
    (folder / "photos").mkdir(parents=True)
    (folder / "quilts").mkdir()
    (folder / "collection.yaml").write_text("title: Quilts\nmaker: Someone Invented\n")
    names = ("front", "back", "hidden")
    seen = {name: quilt_photo(seed, turn=1, keystone=0, long=900) for seed, name in enumerate(names, 2)}
    for name, one in seen.items():
        (folder / "photos" / f"{name}.jpg").write_bytes(encoded(one.picture))
    size = f"{60 * seen['front'].proportion:.1f} x 60"
    (folder / "quilts" / "one.yaml").write_text(
        f"title: One\nfinished_size: {size}\nphotos:\n  - front.jpg\n  - {{file: back.jpg, shows: back}}\n"
    )
    size = f"{60 * seen['hidden'].proportion:.1f} x 60"
    (folder / "quilts" / "two.yaml").write_text(
        f"title: Two\nfinished_size: {size}\nphotos: [{{file: hidden.jpg, public: false}}]\n"
    )
    build(folder, output, on=date(2026, 11, 1))
    placed = {
        edition: [path for path in (output / edition / "pictures").iterdir() if path.name.endswith("-480.jpg")]
        for edition in ("catalogue", "binder")
    }
    assert len(placed["catalogue"]) == 1 and len(placed["binder"]) == 2
    assert placed["catalogue"][0].name in (output / "catalogue" / "wall" / "quilts.js").read_text()
