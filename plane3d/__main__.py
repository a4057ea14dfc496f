"""`python -m plane3d` is the same as `plane3d`."""

from plane3d.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
