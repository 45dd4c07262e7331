"""A disk that is not waited for, for the modules that ask for it."""

from tests.support.fast_disk import a_fast_disk

__all__ = ["a_fast_disk"]
