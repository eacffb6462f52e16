import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

CHILD = """
import os
from designer.errors import ReadableError
from designer.recipe import Recipe, file, patch, saving
if os.geteuid() == 0:
    os.setegid(65534)
    os.seteuid(65534)
try:
    {statement}
except ReadableError as error:
    print(error)
else:
    print("done")
"""


@pytest.fixture
def as_nobody():
    """Run a statement in a child without the rights of root, whom no permission stops."""

    def run(statement):
        child = subprocess.run(
            [sys.executable, "-c", CHILD.format(statement=statement)],
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        )
        return child.stdout

    return run


@pytest.fixture
def open_folder():
    """A folder that others than the owner can reach, unlike those pytest makes."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)
