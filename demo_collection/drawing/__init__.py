"""Draws the photographs of the demo's quilts: blocks, cloth, quilting, a room and a camera.

A photo is made in five stages, a module or a few for each:

    recipes     recipes.yaml and the quilt's own record, read and checked
    drafts      what a block is: patches in a unit square       (blocks_*.py, whole_quilts.py, hexagon_quilts.py)
    layout      where the blocks lie in the quilt, in inches, each patch with its fabric
    cloth       a window of the top or the backing, painted with prints, seams and quilting
    scenes      the quilt hung, laid, folded or looked at closely, and photographed
"""
