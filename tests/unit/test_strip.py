"""The Python end of the timing strip."""

from __future__ import annotations

import json
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from apps.strip import Strip
from plane3d.play import play
from plane3d.scene.strip import describe_strip
from plane3d.units import INCH
from tests.cases import inputs


def shown(metric: bool = False, **asks: Any) -> Strip:
    strip = Strip()
    strip.show(describe_strip(play(inputs(below_line=INCH, **asks)), metric=metric))
    return strip


def messages(strip: Strip, monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    sent: list[Any] = []
    monkeypatch.setattr(strip, "_send_msg", sent.append)
    return sent


def test_the_table_is_plain_and_whole() -> None:
    table = dict(shown().table)
    paths = np.frombuffer(table.pop("paths"), "<f4").reshape(81, -1, 3)
    json.dumps(table, allow_nan=False)
    assert len(table["kinds"]) == len(table["heights"]) == len(table["sentences"]) == 81
    assert table["timings"][0] == -40
    for kind, height, path in zip(table["kinds"], table["heights"], paths, strict=True):
        assert (kind == "miss") == (height is None) == bool(np.isnan(path).all())
        assert height is None or 0 < height < 1


def test_speeds_are_marked_in_the_unit_shown() -> None:
    assert [mark["words"] for mark in shown().table["marks"]][:2] == ["25 mph", "50 mph"]
    assert [mark["words"] for mark in shown(metric=True).table["marks"]][:2] == ["40 km/h", "80 km/h"]


def test_showing_sets_the_timing_so_that_asking_for_the_old_one_is_a_change() -> None:
    strip = shown(timing=0.012)
    assert strip.timing_ms == pytest.approx(12)


def test_asking_changes_the_timing_and_lets_the_browser_go_on(monkeypatch: pytest.MonkeyPatch) -> None:
    strip = shown()
    sent, heard = messages(strip, monkeypatch), []
    strip.param.watch(lambda event: heard.append(event.new), "timing_ms")
    strip._ask(SimpleNamespace(data={"timing_ms": -7}))
    assert heard == [-7.0]
    assert sent == [{"do": "next"}]


def test_a_failing_page_does_not_stop_the_browser(monkeypatch: pytest.MonkeyPatch) -> None:
    strip = shown()
    sent = messages(strip, monkeypatch)

    def fail(_: object) -> None:
        raise RuntimeError

    strip.param.watch(fail, "timing_ms")
    with pytest.raises(RuntimeError):
        strip._ask(SimpleNamespace(data={"timing_ms": 3}))
    assert sent == [{"do": "next"}]


def test_pointing_moves_only_the_marker(monkeypatch: pytest.MonkeyPatch) -> None:
    strip = shown()
    sent, table = messages(strip, monkeypatch), strip.table
    strip.point(9.5)
    assert sent == [{"do": "point", "timing": 9.5}]
    assert strip.table is table
    assert strip.timing_ms == 9.5


def test_the_timing_is_no_property_of_the_browser_s_model() -> None:
    """It goes by messages: a synced property that both ends write would lose changes."""
    assert "timing_ms" not in Strip()._linked_properties
