"""Waiting for a picture that fits itself to the room it has."""

from __future__ import annotations

from playwright.sync_api import Locator, Page

SLACK = 30  # px between the picture and the edge of the window


def wait_until_fitted(page: Page, svg: Locator, width: int) -> None:
    """Wait until an SVG at the right edge of a window of this width has been drawn for it."""
    page.wait_for_function(
        """([svg, width, slack]) => {
          const { right, width: room } = svg.getBoundingClientRect()
          const apart = Math.abs(svg.viewBox.baseVal.width - room)
          return innerWidth === width && right <= width && right > width - slack && apart < 1
        }""",
        arg=[svg.element_handle(), width, SLACK],
    )
