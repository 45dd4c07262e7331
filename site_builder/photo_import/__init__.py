"""Taking in photos: a folder of camera and phone pictures becomes draft records of quilts."""
