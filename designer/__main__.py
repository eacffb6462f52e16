"""The entry of `bar-dough`."""

import sys


def main() -> int:
    """Run the command line and return its exit code."""
    from designer.terminal import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
