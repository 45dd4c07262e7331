"""What the parser makes of a text."""

from collection.yaml_files.parser import YamlText, read_yaml


def read(text: str | bytes) -> tuple[YamlText, list]:
    return read_yaml(text.encode() if isinstance(text, str) else text, "quilts/low-tide.yaml")


def data(text: str) -> object:
    read_text, problems = read(text)
    assert problems == []
    return read_text.data


def only_problem(text: str | bytes):
    _, (problem,) = read(text)
    return problem
