"""The notice in the binder's folder, for anyone who finds the folder outside a browser."""

NOTICE_FILE = "README.txt"

NOTICE = """\
PRIVATE: do not upload or share this folder.

It is the household's own copy of a quilt collection, with everything that
the records say: names and addresses, who was given what, what it cost, where
each quilt is kept, and private notes.

For a web site, upload the folder "catalogue" alone, never the folder in which
both lie. To read the binder, open index.html in a browser.

Counterpane made these pages. The next build replaces all that is in here.
"""
