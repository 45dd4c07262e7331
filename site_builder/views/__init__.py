"""The frozen types that templates receive: everything that a page shows, in its final words.

A view holds finished text, addresses relative to the page, and shapes; a template adds markup only.
The catalogue's views are made from public facts only (`collection.privacy`), so that a template of the catalogue
can't reach a private field.
"""
