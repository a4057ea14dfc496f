"""What a file is about: a scenario, its play, and how it is to be shown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from plane3d.language import tr
from plane3d.lesson import Step
from plane3d.play import Play, play
from plane3d.plays import pitch_flight
from plane3d.report import MapReading, read_map, report, sentence
from plane3d.scenario import Scenario
from plane3d.scene.parts import Camera, Scene
from plane3d.scene.staged import staged
from plane3d.words import Block


@dataclass(frozen=True)
class Subject:
    """A scenario to make files of.

    step : of a lesson, whose question and view come before the scenario's own
    view : name of the view, before both; camera : another to stand in its place
    metric, theme, figure : as for `plane3d.scene.describe.describe`
    """

    scenario: Scenario
    step: Step | None = None
    view: str | None = None
    camera: Camera | None = None
    metric: bool = False
    theme: str = "light"
    figure: bool = False

    @property
    def title(self) -> str:
        return tr(self.scenario.title)

    @property
    def question(self) -> str:
        return tr(self.scenario.question if self.step is None else self.step.question)

    @property
    def sentence(self) -> str:
        """The result in words."""
        return sentence(self.play.result, self.metric)

    @cached_property
    def play(self) -> Play:
        """Raises UnreachableError where the pitch or the swing cannot be made."""
        return play(self.scenario.to_inputs())

    @cached_property
    def reading(self) -> MapReading:
        """What the contact map says; about as much work as a hundred plays."""
        other = self.scenario.with_second_pitch()
        second = None if other is None else pitch_flight(other.to_inputs())
        return read_map(self.play, second, self.scenario.si("view.window_in"))

    @property
    def answer(self) -> Block:
        """Every number of the answer, as `plane3d solve --json` prints it."""
        return report(self.play.result, self.reading)

    @cached_property
    def scene(self) -> Scene:
        """The scene, the same that the page shows."""
        view = self.view or (self.step.view if self.step else None)
        scene = staged(self.scenario, self.play, view, metric=self.metric, theme=self.theme, figure=self.figure)
        return scene if self.camera is None else replace(scene, cameras=scene.cameras | {scene.camera: self.camera})


@dataclass(frozen=True)
class Wishes:
    """What is asked of a file beyond what it is about; None for what is usual.

    size : width and height, pixels
    time : of a picture, s from contact or closest pass, later positive
    speed : of slow motion, as a share of the real speed
    rate : pictures a second; seconds : how long the whole film is
    paper : one of `plane3d.export.paper.PAPERS`
    """

    size: tuple[int, int] | None = None
    time: float | None = None
    speed: float | None = None
    rate: float | None = None
    seconds: float | None = None
    paper: str | None = None
