"""The frozen types that templates receive: all that a page shows, in the words that it shows.

A view holds finished text, addresses relative to the page, and shapes; a template adds markup only.
The catalogue's views are made from what may go out (`collection.public_facts`), so that a template of
the catalogue can't reach a private field: it is never given one.
"""
