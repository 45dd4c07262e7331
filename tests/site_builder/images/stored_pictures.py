"""What a store of pictures holds."""


def sizes(picture):
    return [(rendition.width, rendition.height) for rendition in picture.renditions]


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}
