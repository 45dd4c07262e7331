"""Draws the photographs of the demo's quilts: blocks, cloth, quilting, a room and a camera.

    python -m demo_collection.drawing.draw_photos            all of them, into demo_collection/photos
    python -m demo_collection.drawing.draw_photos --only ID  those of one quilt

A photo is made in five stages, each in a module or a few:

    recipes.py    recipes.yaml and the quilt's own record, read and checked
    blocks*.py    what a block is: patches in a unit square; whole_quilts.py for designs without blocks
    layout.py     where everything lies in the quilt, in inches, each patch with its fabric (colouring.py)
    cloth.py      a window of the top or the backing, with its prints, seams, quilting and relief
    scenes.py     the quilt hung, laid, folded or looked at closely, and photographed (photograph.py)

The same recipe and record give the same bytes: every choice is seeded by the quilt's ID (chance.py).
"""
