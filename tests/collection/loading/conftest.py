"""Reading a collection of given files, and the problems that files bring to a sound collection."""

import pytest

from collection.loading.loader import Reading, read_collection

SOUND = {
    "collection.yaml": "",
    "partners/river-street.yaml": "name: River Street Shelter\n",
    "partners/cots.yaml": "name: River Street Cots\npart_of: river-street\n",
    "partners/hill.yaml": "name: Hill Hospice\n",
    "partners/nell.yaml": "name: Nell\nkind: go-between\nacts_for: [river-street]\n",
    "requests/spring.yaml": "partner: cots\nthrough: nell\nlines:\n  - {id: cots, count: 2, size: baby}\n  - {id: laps, count: 1}\n",
}


@pytest.fixture
def read(tmp_path, write_collection):
    """Reads a collection of these files."""

    def write_and_read(files: dict[str, str | bytes]) -> Reading:
        return read_collection(write_collection(tmp_path, files))

    return write_and_read


@pytest.fixture
def problems(tmp_path, write_collection):
    """The problems of a sound collection with these files beside; a quilt is given without its title."""

    def found(files: dict[str, str]):
        for name, text in files.items():
            if name.startswith("quilts/") and "title:" not in text:
                files[name] = f"title: {name[7:-5]}\n{text}\n"
        return read_collection(write_collection(tmp_path, SOUND | files)).problems

    return found


@pytest.fixture
def of_quilt(problems):
    """The problems that one quilt with these fields brings."""
    return lambda text: problems({"quilts/low-tide.yaml": text})
