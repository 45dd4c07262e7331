"""What a reading of a collection has to say."""

from collection.loading.loader import Reading

QUILT = "title: Low Tide\n"


def told(reading: Reading) -> list[tuple[str, str]]:
    return [(problem.file, problem.remedy) for problem in reading.problems]


def only_remedy(reading: Reading, file: str) -> str:
    ((name, remedy),) = told(reading)
    assert name == file
    return remedy
