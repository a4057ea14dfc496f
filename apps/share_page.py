"""The page of those who follow a presenter: that of a scene (`apps.scene_page`), with a socket to bring what is shown.

It holds nothing of what is shown, so that it is the same for all viewers and may be fetched by anybody.
"""

from __future__ import annotations

from apps.scene_page import POLICY, SHEETS, document
from plane3d.language import tr


def share_page() -> tuple[str, str]:
    """The page in the language in use, and the fingerprints of the scripts it runs."""
    first = {"question": "", "made": "", "toml": ""}
    title = tr("Follow the presenter")
    return document(
        "share_view", (*SHEETS, "share_view"), title=title, theme="light", first=first, hidden=True, told={}, live=True
    )


def share_policy(scripts: str) -> str:
    """The page's policy; ``{host}`` stands for where it came from, the only place it may reach."""
    return f"{POLICY.format(scripts=scripts)}; connect-src ws://{{host}}; frame-ancestors 'none'"
