"""Settings of all tests: hypothesis reproduces its examples, and fixed ones come first.

Windows are drawn offscreen, and nothing is written to the home of who runs the tests.
"""

import os
import tempfile

from hypothesis import HealthCheck, settings

os.environ["QT_QPA_PLATFORM"] = "offscreen"
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
for variable in ("DISPLAY", "WAYLAND_DISPLAY", "QT_SCALE_FACTOR", "QT_STYLE_OVERRIDE"):
    os.environ.pop(variable, None)
_home = tempfile.TemporaryDirectory(prefix="bar-dough-tests-")
for variable in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
    os.environ[variable] = _home.name

settings.register_profile(
    "steady",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("steady")
