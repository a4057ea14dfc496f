"""The hitter's log: swings kept by hitter in one file on this machine."""

from plane3d.log.store import Deleted, Log, default_path, held
from plane3d.log.values import FIGURES, PRIVACY, Figure, Hitter, LogError, Swing

__all__ = ["FIGURES", "PRIVACY", "Deleted", "Figure", "Hitter", "Log", "LogError", "Swing", "default_path", "held"]
