"""The fields of a quilt that may be public; no other field ever is."""

FACTS: dict[str, str] = {
    "number": "Its inventory number",
    "also_called": "Other names that it goes by",
    "made": "When it was made",
    "stage": "How far it is, when not finished",
    "finished_size": "Its size, with category and beds",
    "setting": "How its blocks are set, with cutting sizes",
    "photos": "Photos, without those that you keep out of the catalogue",
    "pattern": "The pattern and its source",
    "fabric_lines": "The fabric lines",
    "blocks": "Its blocks",
    "techniques": "How it was made",
    "quilting": "Who quilted it, and how",
    "fibre": "What its layers are made of",
    "features": "Buttons, flannel and the like",
    "colours": "Its colours",
    "suits": "Who would enjoy it",
    "story": "Its story",
    "care": "Whether it is washed and labelled",
    "destination": "Where it stands on its way, and the charity if that may be named",
}
