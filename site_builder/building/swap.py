"""Swaps two folders in one step, where the system can: at no moment is either of them missing."""

import ctypes
import errno
import os
import sys
from pathlib import Path

# Source: renameat2(2) of Linux; rename(2) of macOS for renamex_np.
_HERE = -100
_RENAME_EXCHANGE = 2
_RENAME_SWAP = 2
_NOT_KNOWN = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}


def exchange(one: Path, other: Path) -> bool:
    """Swap two folders of one disk; False if the system or the disk has no such call.

    Raises OSError if the call fails; both folders then stay where they were.
    """
    names = os.fsencode(one), os.fsencode(other)
    try:
        system = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            failed = system.renamex_np(*names, ctypes.c_uint(_RENAME_SWAP))
        else:
            failed = system.renameat2(_HERE, names[0], _HERE, names[1], ctypes.c_uint(_RENAME_EXCHANGE))
    except (AttributeError, OSError, TypeError):  # a system without this call, or without such a library
        return False
    if not failed:
        return True
    number = ctypes.get_errno()
    if number in _NOT_KNOWN:
        return False
    raise OSError(number, os.strerror(number), os.fspath(other))
