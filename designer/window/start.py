"""What must be there before Qt is imported: its system libraries, and a screen. No Qt here."""

import ctypes
import os
import socket
from collections.abc import Callable, Mapping

__all__ = ["LIBRARIES", "WAYLAND", "X11", "packages", "screen_problem"]

LIBRARIES = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
}
"""What Qt loads on any screen, and the Debian package of each."""

X11 = {
    "libxcb.so.1": "libxcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
WAYLAND = {
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
}


def loads(library: str) -> bool:
    """Return whether a system library is there."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def packages(wanted: Mapping[str, str], loads: Callable[[str], bool] = loads) -> list[str]:
    """Return the packages of the libraries that are not there."""
    return [package for library, package in wanted.items() if not loads(library)]


def screen_problem(environment: Mapping[str, str], loads: Callable[[str], bool] = loads) -> str:
    """Return in one sentence why no window can be opened, or "".

    Qt itself ends the program without a word that helps, so this is asked before its import.
    """
    platform = environment.get("QT_QPA_PLATFORM", "").split(":")[0].split(";")[0]
    if not platform:
        if not (environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY")):
            return (
                "There is no screen here: neither DISPLAY nor WAYLAND_DISPLAY is set. "
                "Start it on a desktop."
            )
        platform = "xcb" if environment.get("DISPLAY") else "wayland"
    wanted = LIBRARIES | {"xcb": X11, "wayland": WAYLAND}.get(platform, {})
    if missing := packages(wanted, loads):
        return (
            "System libraries that the window needs are missing; install them by "
            f'"sudo apt-get install {" ".join(missing)}".'
        )
    opens = {"xcb": _opens_x11, "wayland": _opens_wayland}.get(platform)
    if opens is None or opens(environment):
        return ""
    name = environment.get("DISPLAY" if platform == "xcb" else "WAYLAND_DISPLAY", "")
    return f'The screen "{name}" cannot be opened. Start it from a terminal on that desktop.'


def _opens_x11(environment: Mapping[str, str]) -> bool:
    xcb = ctypes.CDLL("libxcb.so.1")
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connect.argtypes = [ctypes.c_char_p, ctypes.c_void_p]
    for function in (xcb.xcb_connection_has_error, xcb.xcb_disconnect):
        function.argtypes = [ctypes.c_void_p]
    display = environment.get("DISPLAY", "")
    connection = xcb.xcb_connect(display.encode() if display else None, None)
    good = bool(xcb.xcb_connection_has_error(connection) == 0)
    xcb.xcb_disconnect(connection)
    return good


def _opens_wayland(environment: Mapping[str, str]) -> bool:
    folder = environment.get("XDG_RUNTIME_DIR", "")
    path = os.path.join(folder, environment.get("WAYLAND_DISPLAY", "wayland-0"))
    with socket.socket(socket.AF_UNIX) as door:
        try:
            door.connect(path)
        except OSError:
            return False
    return True


if __name__ == "__main__":  # .ci/setup runs this file alone, before anything is installed
    print(*packages(LIBRARIES | X11))
