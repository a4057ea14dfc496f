"""plane3d: show and compute how a bat and a ball meet."""

__version__ = "0.1.0"
