"""Where the shipped tables lie: inside an installed package, or beside it in a checkout."""

import importlib.resources
from functools import lru_cache
from pathlib import Path

from designer.errors import ReadableError


@lru_cache(maxsize=1)
def resources() -> Path:
    """Return the folder of the shipped tables.

    Raises
    ------
    ReadableError
        The program was installed without them.
    """
    here = Path(str(importlib.resources.files("designer")))
    for folder in (here / "_resources", here.parent / "resources"):
        if folder.is_dir():
            return folder
    raise ReadableError(
        "Handbook",
        f"The program's tables are not beside it in {here.parent}.",
        "Install the program again.",
    )
